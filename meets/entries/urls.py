from django.urls import path

from meets.entries import views
from meets.entries.file import views as file

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
    path("file/", file.upload, name="upload"),
    path("file/empty/", file.empty, name="empty_file"),
    path("file/<str:token>/", file.check, name="check"),
    path("file/<str:token>/accept/", file.accept, name="accept"),
    path("file/<str:token>/schools/", file.schools, name="schools"),
    path("file/<str:token>/forget/", file.forget, name="forget"),
    path("file/<str:token>/problems/", file.problems, name="problems"),
    path("file/<str:token>/stored/", file.stored, name="stored"),
]
