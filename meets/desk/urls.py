from django.urls import path

from meets.desk import views

app_name = "desk"
urlpatterns = [
    path("", views.meets, name="meets"),
    path("sign-in/", views.SignIn.as_view(), name="sign_in"),
    path("sign-out/", views.SignOut.as_view(), name="sign_out"),
    # desk/<meet>/
    path("<slug:meet>/", views.meet, name="meet"),
    path("<slug:meet>/<int:event_id>/", views.event, name="event"),
]
