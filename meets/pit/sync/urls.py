from django.urls import path

from meets.pit.sync import views

app_name = "sync"
urlpatterns = [
    path("join", views.join, name="join"),
    path("push", views.push, name="push"),
    path("contact", views.contact, name="contact"),
    path("openapi.json", views.openapi, name="openapi"),
]
