from django.urls import path

from meets.entries import views

app_name = "entries"
urlpatterns = [
    # desk/<meet>/entries/
    path("", views.entries, name="list"),
    path("new/", views.new, name="new"),
    path("bibs/", views.bibs, name="bibs"),
    path("<int:entry_id>/", views.entry, name="entry"),
    path("<int:entry_id>/withdraw/", views.withdraw, name="withdraw"),
    path("<int:entry_id>/restore/", views.restore, name="restore"),
    # desk/<meet>/entries/file/
    path("file/", views.upload, name="upload"),
    path("file/<str:token>/", views.check, name="check"),
    path("file/<str:token>/accept/", views.accept, name="accept"),
    path("file/<str:token>/schools/", views.schools, name="schools"),
    path("file/<str:token>/forget/", views.forget, name="forget"),
    path("file/<str:token>/problems/", views.problems, name="problems"),
    path("file/<str:token>/stored/", views.stored, name="stored"),
]
