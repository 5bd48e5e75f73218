"""Addresses under `desk/<meet>/records/`, in the desk's own names."""

from django.urls import path

from meets.desk.records import standards_views, views

urlpatterns = [
    path("", views.records, name="records"),
    path("claims/", views.renew_claims, name="renew_claims"),
    path("claims/<int:claim_id>/", views.claim, name="claim"),
    path("claims/<int:claim_id>/form.pdf", views.claim_form, name="claim_form"),
    path("books/new/", views.book_form, name="new_record_book"),
    path("books/use/", views.use_book, name="use_record_book"),
    path("books/<int:book_id>/", views.book, name="record_book"),
    path("books/<int:book_id>/change/", views.book_form, name="change_record_book"),
    path("books/<int:book_id>/new/", views.new_record, name="new_record"),
    path("books/<int:book_id>/<int:record_id>/take-out/", views.take_out_record, name="take_out_record"),
    path("standards/", standards_views.standards, name="standards"),
    path("standards/file/", standards_views.standards_file, name="standards_file"),
    path("next-meet/", standards_views.next_meet, name="next_meet"),
    path("next-meet/forget/", standards_views.forget_next_meet, name="forget_next_meet"),
]
