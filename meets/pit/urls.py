from django.urls import path

from meets.pit.course import views as course
from meets.pit.decisions import views as decisions
from meets.pit.people import views as people
from meets.pit.phone.shell import views as shell
from meets.pit.screen import views as screen
from meets.pit.turn import views as turn

app_name = "pit"
urlpatterns = [
    path("", screen.sessions, name="sessions"),
    path("writing/", screen.writer, name="writer"),
    # the page of an official's phone, what it needs to open without signal, and how it stands on a home screen
    path("phone/", shell.phone, name="phone"),
    path("worker.js", shell.worker, name="worker"),
    path("phone/manifest.webmanifest", shell.manifest, name="manifest"),
    # pit/<session>/
    path("<int:session_id>/", screen.session, name="session"),
    path("<int:session_id>/record/", screen.record, name="record"),
    path("<int:session_id>/everybody/", people.everybody, name="everybody"),
    path("<int:session_id>/athlete/<int:entry>/", people.athlete, name="athlete"),
    path("<int:session_id>/trial/<int:entry>/<int:round>/<int:replacement>/", turn.turn, name="trial"),
    path("<int:session_id>/ready/", decisions.ready, name="ready"),
    path("<int:session_id>/stop/", decisions.stop, name="stop"),
    path("<int:session_id>/winds/", decisions.winds, name="winds"),
    path("<int:session_id>/decide/<int:event_id>/", decisions.decide, name="decide"),
    path("<int:session_id>/course/<int:event_id>/", course.course, name="course"),
    path("<int:session_id>/places/", decisions.places, name="places"),
]
