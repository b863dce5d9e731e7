"""Addresses of editing, exchange and pictures; those below ``materia-medica/`` come before the monographs'."""

from django.urls import path

from .views import contact_sheet, editing, exchange, history, pictures

edit_patterns = [
    path("materia-medica/add/", editing.herb_add, name="herb-add"),
    path("materia-medica/claim-row/", editing.claim_row, name="claim-row"),
    path("materia-medica/edits/", history.edit_list, name="edit-list"),
    path("materia-medica/exchange/", exchange.exchange, name="exchange"),
    path("materia-medica/exchange/claims/", exchange.claims_export, name="claims-export"),
    path("materia-medica/exchange/<slug:token>/", exchange.exchange_preview, name="exchange-preview"),
    path("materia-medica/exchange/<slug:token>/confirm/", exchange.exchange_confirm, name="exchange-confirm"),
    path("materia-medica/<slug:slug>/edit/", editing.herb_edit, name="herb-edit"),
    path("materia-medica/<slug:slug>/remove/", editing.herb_remove, name="herb-remove"),
    path("materia-medica/<slug:slug>/history/", history.herb_history, name="herb-history"),
    path("materia-medica/<slug:slug>/history/<int:number>/restore/", history.edit_restore, name="edit-restore"),
    path("materia-medica/<slug:slug>/file/", history.herb_file, name="herb-file"),
    path("materia-medica/<slug:slug>/pictures/", pictures.herb_pictures, name="herb-pictures"),
    path("pictures/<uuid:code>/remove/", pictures.picture_remove, name="picture-remove"),
    path("pictures/<uuid:code>/<int:width>.<slug:kind>", pictures.picture_file, name="picture-file"),
    path("contact-sheet/", contact_sheet.contact_sheet, name="contact-sheet"),
]
