from django.urls import path

from meets.pit.phone import views

app_name = "phone"
urlpatterns = [
    path("state/<int:session_id>", views.state, name="state"),
    path("clock/<int:session_id>", views.clock, name="clock"),
]
