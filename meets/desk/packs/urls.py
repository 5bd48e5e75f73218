from django.urls import path

from meets.desk.packs import views

app_name = "packs"
urlpatterns = [
    # desk/<meet>/packs/
    path("", views.packs, name="list"),
    path("make/", views.make, name="make"),
    path("send/", views.send, name="send"),
    path("letters/<int:mailing_id>/", views.letter, name="letter"),
    path("letters/<int:mailing_id>/again/", views.again, name="again"),
    path("all.pdf", views.print_all, name="print_all"),
    path("<int:pack_id>/pack.pdf", views.pdf, name="pdf"),
    path("<int:pack_id>/pack.csv", views.csv, name="csv"),
    path("medals/", views.medals, name="medals"),
    path("medals.pdf", views.medals_sheet, name="medals_sheet"),
    path("certificates/", views.certificates, name="certificates"),
    path("certificates.pdf", views.certificates_file, name="certificates_file"),
    path("labels.pdf", views.labels_file, name="labels_file"),
]
