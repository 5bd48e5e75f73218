"""Addresses under `desk/<meet>/records/`, in the desk's own names."""

from django.urls import path

from meets.desk.records import standards_views, views

urlpatterns = [
    path("<slug:meet>/records/", views.records, name="records"),
    path("<slug:meet>/records/claims/", views.renew_claims, name="renew_claims"),
    path("<slug:meet>/records/claims/<int:claim_id>/", views.claim, name="claim"),
    path("<slug:meet>/records/claims/<int:claim_id>/form.pdf", views.claim_form, name="claim_form"),
    path("<slug:meet>/records/books/new/", views.book_form, name="new_record_book"),
    path("<slug:meet>/records/books/use/", views.use_book, name="use_record_book"),
    path("<slug:meet>/records/books/<int:book_id>/", views.book, name="record_book"),
    path("<slug:meet>/records/books/<int:book_id>/change/", views.book_form, name="change_record_book"),
    path("<slug:meet>/records/books/<int:book_id>/new/", views.new_record, name="new_record"),
    path(
        "<slug:meet>/records/books/<int:book_id>/<int:record_id>/take-out/",
        views.take_out_record,
        name="take_out_record",
    ),
    path("<slug:meet>/records/standards/", standards_views.standards, name="standards"),
    path("<slug:meet>/records/standards/file/", standards_views.standards_file, name="standards_file"),
    path("<slug:meet>/records/next-meet/", standards_views.next_meet, name="next_meet"),
    path("<slug:meet>/records/next-meet/forget/", standards_views.forget_next_meet, name="forget_next_meet"),
]
