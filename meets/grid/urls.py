from django.urls import path

from meets.grid import views

app_name = "grid"
urlpatterns = [
    # desk/<meet>/grid/
    path("", views.events, name="list"),
    path("<int:event_id>/", views.event, name="event"),
    path("sheet/<int:sheet_id>/", views.sheet, name="sheet"),
    path("sheet/<int:sheet_id>/again/", views.again, name="again"),
    path("sheet/<int:sheet_id>/change/", views.change, name="change"),
    path("sheet/<int:sheet_id>/settle/", views.settle, name="settle"),
    path("sheet/<int:sheet_id>/log/", views.store, name="store"),
    path("sheet/<int:sheet_id>/discard/", views.discard, name="discard"),
]
