from django.urls import path

from meets.publishing import views

app_name = "results"
urlpatterns = [
    path("<slug:meet>/", views.meet, name="meet"),
    path("<slug:meet>/teams/", views.teams, name="teams"),
    path("<slug:meet>/<int:event_id>/", views.event, name="event"),
]
