from django.urls import path

from meets.publishing import views

app_name = "results"
urlpatterns = [
    path("schema/<slug:document>-1.json", views.schema, name="schema"),
    path("<slug:meet>/", views.meet, name="meet"),
    path("<slug:meet>/teams/", views.result, name="teams"),
    path("<slug:meet>/teams/result.<slug:ending>", views.file, name="teams_file"),
    path("<slug:meet>/teams/versions/", views.versions, name="teams_versions"),
    path("<slug:meet>/teams/<int:version>/", views.result, name="teams_version"),
    path("<slug:meet>/teams/<int:version>/result.<slug:ending>", views.file, name="teams_version_file"),
    path("<slug:meet>/<int:event_id>/", views.result, name="event"),
    path("<slug:meet>/<int:event_id>/result.<slug:ending>", views.file, name="file"),
    path("<slug:meet>/<int:event_id>/versions/", views.versions, name="versions"),
    path("<slug:meet>/<int:event_id>/<int:version>/", views.result, name="version"),
    path("<slug:meet>/<int:event_id>/<int:version>/result.<slug:ending>", views.file, name="version_file"),
]
