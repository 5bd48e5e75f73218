from django.urls import path

from meets.sheets import views

app_name = "sheets"
urlpatterns = [
    # desk/<meet>/sheets/
    path("", views.sheets, name="list"),
    path("team-standings.pdf", views.standings, name="standings"),
    path("<int:event_id>/result.csv", views.csv, name="csv"),
    path("<int:event_id>/<slug:kind>.pdf", views.sheet, name="sheet"),
]
