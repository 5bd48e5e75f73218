from django.urls import path

from meets.desk import views
from meets.desk.cut import views as cut
from meets.desk.decide import views as decide
from meets.desk.event import views as event
from meets.desk.meet import views as meet
from meets.desk.phones import views as phones
from meets.desk.pits import views as pits
from meets.desk.programme import views as programme
from meets.desk.public import views as public
from meets.desk.records import urls as records
from meets.desk.rules import views as rules
from meets.desk.schools import views as schools
from meets.desk.standings import views as standings
from meets.desk.start import views as start
from meets.desk.winds import views as winds

app_name = "desk"
urlpatterns = [
    path("", meet.meets, name="meets"),
    path("new/", meet.create, name="new_meet"),
    path("sign-in/", views.SignIn.as_view(), name="sign_in"),
    path("sign-out/", views.SignOut.as_view(), name="sign_out"),
    # desk/<meet>/
    path("<slug:meet>/", meet.overview, name="meet"),
    path("<slug:meet>/settings/", meet.settings, name="settings"),
    path("<slug:meet>/settings/change/", meet.change, name="change_meet"),
    path("<slug:meet>/settings/remove/", meet.remove, name="remove_meet"),
    path("<slug:meet>/settings/rules/", rules.meet_rules, name="rules"),
    path("<slug:meet>/public/", public.public, name="public"),
    path("<slug:meet>/public/code.svg", public.code, name="public_code"),
    path("<slug:meet>/schools/", schools.schools, name="schools"),
    path("<slug:meet>/schools/new/", schools.school, name="new_school"),
    path("<slug:meet>/schools/<int:school_id>/", schools.school, name="school"),
    path("<slug:meet>/pits/", pits.pits, name="pits"),
    path("<slug:meet>/pits/new/", pits.pit, name="new_pit"),
    path("<slug:meet>/pits/<int:pit_id>/", pits.pit, name="pit"),
    path("<slug:meet>/sessions/new/", pits.session, name="new_session"),
    path("<slug:meet>/sessions/each/", pits.a_session_each, name="a_session_each"),
    path("<slug:meet>/sessions/<int:session_id>/", pits.session, name="session"),
    path("<slug:meet>/sessions/<int:session_id>/remove/", pits.remove_session, name="remove_session"),
    path("<slug:meet>/phones/", phones.phones, name="phones"),
    path("<slug:meet>/phones/<int:number>/", phones.phone, name="phone"),
    path("<slug:meet>/phones/codes/", phones.codes, name="codes"),
    path("<slug:meet>/phones/codes/print/", phones.print_codes, name="print_codes"),
    path("<slug:meet>/phones/codes/<int:key_id>/", phones.code, name="code"),
    path("<slug:meet>/phones/waiting/", phones.waiting, name="waiting"),
    path("<slug:meet>/phones/waiting/<uuid:delivery_id>/", phones.settle_waiting, name="settle_waiting"),
    path("<slug:meet>/phones/aside/<int:aside_id>/", phones.settle_aside, name="settle_aside"),
    path("<slug:meet>/phones/file/", phones.outbox, name="outbox"),
    path("<slug:meet>/standings/", standings.standings, name="standings"),
    path("<slug:meet>/standings/<int:penalty_id>/take-back/", standings.take_back_penalty, name="take_back_penalty"),
    *records.urlpatterns,
    path("<slug:meet>/programme/", programme.programme, name="programme"),
    path("<slug:meet>/programme/add/", programme.add_events, name="add_events"),
    # desk/<meet>/<event>/
    path("<slug:meet>/<int:event_id>/", event.event, name="event"),
    path("<slug:meet>/<int:event_id>/check-in/", start.check_in, name="check_in"),
    path("<slug:meet>/<int:event_id>/draw/", start.draw, name="draw"),
    path("<slug:meet>/<int:event_id>/cut/", cut.cut, name="cut"),
    path("<slug:meet>/<int:event_id>/winds/", winds.winds, name="winds"),
    path("<slug:meet>/<int:event_id>/log/", event.log, name="log"),
    path("<slug:meet>/<int:event_id>/athlete/<int:entry>/", event.athlete, name="athlete"),
    path("<slug:meet>/<int:event_id>/trial/<int:entry>/<int:round>/<int:replacement>/", decide.turn, name="turn"),
    path("<slug:meet>/<int:event_id>/decide/<slug:decision>/", decide.decide, name="decide"),
    path("<slug:meet>/<int:event_id>/settings/", programme.event_settings, name="event_settings"),
    path("<slug:meet>/<int:event_id>/settings/rules/", rules.event_rules, name="event_rules"),
    path("<slug:meet>/<int:event_id>/remove/", programme.remove_event, name="remove_event"),
]
