from django.urls import path

from meets.desk.publishing import views

app_name = "publishing"
urlpatterns = [
    path("", views.results, name="meet"),
    path("all/", views.publish_all, name="all"),
    path("step/", views.step, name="step"),
    path("teams/", views.teams, name="teams"),
    path("<int:event_id>/", views.event, name="event"),
]
