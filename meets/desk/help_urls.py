from django.urls import path

from meets.desk import help_views

app_name = "help"
urlpatterns = [
    path("", help_views.index, name="index"),
    path("<slug:name>/", help_views.page, name="page"),
]
