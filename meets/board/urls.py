from django.urls import path

from meets.board import views

app_name = "board"
urlpatterns = [
    path("<slug:meet>/<int:event_id>/", views.event, name="event"),
    path("<slug:meet>/", views.meet, name="meet"),
    path("<slug:meet>/<int:event_id>/screen/", views.screen, name="screen"),
    path("<slug:meet>/<int:event_id>/announcer/", views.announcer, name="announcer"),
]
