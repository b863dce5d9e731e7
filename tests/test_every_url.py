"""Every address of the site, and what each person is answered there."""

import uuid

import pytest
from django.db import transaction
from django.http import HttpResponse
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from herbs.models import Part
from quizzes.models import Attempt
from tests import account_pages, factories, people

pytestmark = pytest.mark.django_db

# Columns: no.  nobody is logged in          s.a.  school administrator
#          str. stranger without a course    o.s.  student of a course of another school
#          stu. student, whose drill it is   o.o.  owner of another course of the same school
#          ass. assistant, ins. instructor,  o.a.  administrator of another school
#          own. owner of the course
# Answers: a status; "in": sent to the log-in page and from there back to this address; "re": sent to give the password,
# or the code, once more before going on.
# After "#" stands what differs: "answered" is a question with its mark, "enrolled" a person with a second factor, "fresh"
# one who has just given the password once more.
TABLE = """
address                                    method no.  str. stu. ass. ins. own. s.a. o.s. o.o. o.a.
home                                       GET    200  200  200  200  200  200  200  200  200  200
home                                       POST   405  405  405  405  405  405  405  405  405  405
cautions                                   GET    200  200  200  200  200  200  200  200  200  200
cautions                                   POST   405  405  405  405  405  405  405  405  405  405
health                                     GET    200  200  200  200  200  200  200  200  200  200
health                                     POST   405  405  405  405  405  405  405  405  405  405
account                                    GET    in   200  200  200  200  200  200  200  200  200
account                                    POST   in   405  405  405  405  405  405  405  405  405
account-data                               GET    in   200  200  200  200  200  200  200  200  200
account-data                               POST   in   405  405  405  405  405  405  405  405  405
account-export                             GET    in   200  200  200  200  200  200  200  200  200
account-export                             POST   in   405  405  405  405  405  405  405  405  405
account-erase                              GET    in   200  200  200  200  200  200  200  200  200
account-erase                              POST   in   200  200  200  200  200  200  200  200  200
account_login                              GET    200  302  302  302  302  302  302  302  302  302
account_login                              POST   200  302  302  302  302  302  302  302  302  302
account_logout                             GET    302  200  200  200  200  200  200  200  200  200
account_logout                             POST   302  302  302  302  302  302  302  302  302  302
account_inactive                           GET    200  200  200  200  200  200  200  200  200  200
account_inactive                           POST   405  405  405  405  405  405  405  405  405  405
account_signup                             GET    200  302  302  302  302  302  302  302  302  302
account_signup                             POST   200  302  302  302  302  302  302  302  302  302
account_reauthenticate                     GET    in   200  200  200  200  200  200  200  200  200
account_reauthenticate                     POST   in   200  200  200  200  200  200  200  200  200
account_email                              GET    in   200  200  200  200  200  200  200  200  200
account_email                              POST   in   302  302  302  302  302  302  302  302  302
account_email_verification_sent            GET    200  200  200  200  200  200  200  200  200  200
account_email_verification_sent            POST   405  405  405  405  405  405  405  405  405  405
account_change_password                    GET    in   200  200  200  200  200  200  200  200  200
account_change_password                    POST   in   200  200  200  200  200  200  200  200  200
account_set_password                       GET    in   302  302  302  302  302  302  302  302  302
account_set_password                       POST   in   302  302  302  302  302  302  302  302  302
account_reset_password                     GET    200  200  200  200  200  200  200  200  200  200
account_reset_password                     POST   200  200  200  200  200  200  200  200  200  200
account_confirm_login_code                 GET    302  302  302  302  302  302  302  302  302  302
account_confirm_login_code                 POST   302  302  302  302  302  302  302  302  302  302
account_confirm_email                      GET    200  200  200  200  200  200  200  200  200  200
account_confirm_email                      POST   404  404  404  404  404  404  404  404  404  404
account_reset_password_from_key_done       GET    200  200  200  200  200  200  200  200  200  200
account_reset_password_from_key_done       POST   405  405  405  405  405  405  405  405  405  405
account_reset_password_from_key            GET    200  200  200  200  200  200  200  200  200  200
account_reset_password_from_key            POST   200  200  200  200  200  200  200  200  200  200
account_reset_password_done                GET    200  200  200  200  200  200  200  200  200  200
account_reset_password_done                POST   405  405  405  405  405  405  405  405  405  405
mfa_index                                  GET    in   200  200  200  200  200  200  200  200  200
mfa_index                                  POST   in   405  405  405  405  405  405  405  405  405
mfa_authenticate                           GET    302  302  302  302  302  302  302  302  302  302
mfa_authenticate                           POST   302  302  302  302  302  302  302  302  302  302
mfa_reauthenticate                         GET    in   re   re   re   re   re   re   re   re   re
mfa_reauthenticate                         POST   in   re   re   re   re   re   re   re   re   re
mfa_reauthenticate#enrolled                GET    in   200  200  200  200  200  200  200  200  200
mfa_reauthenticate#enrolled                POST   in   200  200  200  200  200  200  200  200  200
mfa_activate_totp                          GET    in   re   re   re   re   re   re   re   re   re
mfa_activate_totp                          POST   in   re   re   re   re   re   re   re   re   re
mfa_activate_totp#fresh                    GET    in   200  200  200  200  200  200  200  200  200
mfa_activate_totp#fresh                    POST   in   200  200  200  200  200  200  200  200  200
mfa_activate_totp#enrolled+fresh           GET    in   302  302  302  302  302  302  302  302  302
mfa_activate_totp#enrolled+fresh           POST   in   302  302  302  302  302  302  302  302  302
mfa_deactivate_totp                        GET    in   404  404  404  404  404  404  404  404  404
mfa_deactivate_totp                        POST   in   404  404  404  404  404  404  404  404  404
mfa_deactivate_totp#enrolled               GET    in   re   re   re   re   re   re   re   re   re
mfa_deactivate_totp#enrolled               POST   in   re   re   re   re   re   re   re   re   re
mfa_deactivate_totp#enrolled+fresh         GET    in   200  200  200  200  200  200  200  200  200
mfa_deactivate_totp#enrolled+fresh         POST   in   302  302  302  302  302  302  302  302  302
mfa_view_recovery_codes                    GET    in   404  404  404  404  404  404  404  404  404
mfa_view_recovery_codes                    POST   in   405  405  405  405  405  405  405  405  405
mfa_view_recovery_codes#enrolled           GET    in   re   re   re   re   re   re   re   re   re
mfa_view_recovery_codes#enrolled           POST   in   405  405  405  405  405  405  405  405  405
mfa_view_recovery_codes#enrolled+fresh     GET    in   200  200  200  200  200  200  200  200  200
mfa_view_recovery_codes#enrolled+fresh     POST   in   405  405  405  405  405  405  405  405  405
mfa_generate_recovery_codes                GET    in   re   re   re   re   re   re   re   re   re
mfa_generate_recovery_codes                POST   in   re   re   re   re   re   re   re   re   re
mfa_generate_recovery_codes#fresh          GET    in   200  200  200  200  200  200  200  200  200
mfa_generate_recovery_codes#fresh          POST   in   200  200  200  200  200  200  200  200  200
mfa_generate_recovery_codes#enrolled+fresh GET    in   200  200  200  200  200  200  200  200  200
mfa_generate_recovery_codes#enrolled+fresh POST   in   302  302  302  302  302  302  302  302  302
mfa_download_recovery_codes                GET    in   404  404  404  404  404  404  404  404  404
mfa_download_recovery_codes                POST   in   404  404  404  404  404  404  404  404  404
mfa_download_recovery_codes#enrolled       GET    in   re   re   re   re   re   re   re   re   re
mfa_download_recovery_codes#enrolled       POST   in   re   re   re   re   re   re   re   re   re
mfa_download_recovery_codes#enrolled+fresh GET    in   200  200  200  200  200  200  200  200  200
mfa_download_recovery_codes#enrolled+fresh POST   in   405  405  405  405  405  405  405  405  405
quizzes:drill-list                         GET    in   200  200  200  200  200  200  200  200  200
quizzes:drill-list                         POST   in   405  405  405  405  405  405  405  405  405
quizzes:where-i-stand                      GET    in   200  200  200  200  200  200  200  200  200
quizzes:where-i-stand                      POST   in   405  405  405  405  405  405  405  405  405
quizzes:history                            GET    in   200  200  200  200  200  200  200  200  200
quizzes:history                            POST   in   405  405  405  405  405  405  405  405  405
quizzes:next-work                          GET    in   200  200  200  200  200  200  200  200  200
quizzes:next-work                          POST   in   405  405  405  405  405  405  405  405  405
quizzes:practice-start                     GET    in   405  405  405  405  405  405  405  405  405
quizzes:practice-start                     POST   in   302  302  302  302  302  302  302  302  302
quizzes:practice-next                      GET    in   405  405  405  405  405  405  405  405  405
quizzes:practice-next                      POST   in   404  302  404  404  404  404  404  404  404
quizzes:practice-stop                      GET    in   405  405  405  405  405  405  405  405  405
quizzes:practice-stop                      POST   in   404  302  404  404  404  404  404  404  404
quizzes:attempt-start                      GET    in   405  405  405  405  405  405  405  405  405
quizzes:attempt-start                      POST   in   302  302  302  302  302  302  302  302  302
quizzes:member-drills                      GET    in   404  403  200  200  200  200  404  404  404
quizzes:member-drills                      POST   in   405  405  405  405  405  405  405  405  405
quizzes:attempt-detail                     GET    in   404  302  302  302  302  302  404  404  404
quizzes:attempt-detail                     POST   in   405  405  405  405  405  405  405  405  405
quizzes:attempt-results                    GET    in   404  200  200  200  200  200  404  404  404
quizzes:attempt-results                    POST   in   405  405  405  405  405  405  405  405  405
quizzes:question-detail                    GET    in   404  200  403  403  403  403  404  404  404
quizzes:question-detail                    POST   in   405  405  405  405  405  405  405  405  405
quizzes:question-detail#answered           GET    in   404  200  200  200  200  200  404  404  404
quizzes:question-detail#answered           POST   in   405  405  405  405  405  405  405  405  405
quizzes:question-reading                   GET    in   405  405  405  405  405  405  405  405  405
quizzes:question-reading                   POST   in   404  302  403  403  403  403  404  404  404
quizzes:question-choice                    GET    in   405  405  405  405  405  405  405  405  405
quizzes:question-choice                    POST   in   404  302  403  403  403  403  404  404  404
quizzes:question-choice#answered           GET    in   405  405  405  405  405  405  405  405  405
quizzes:question-choice#answered           POST   in   404  302  403  403  403  403  404  404  404
quizzes:question-reason                    GET    in   405  405  405  405  405  405  405  405  405
quizzes:question-reason                    POST   in   404  302  403  403  403  403  404  404  404
quizzes:question-reason#answered           GET    in   405  405  405  405  405  405  405  405  405
quizzes:question-reason#answered           POST   in   404  302  403  403  403  403  404  404  404
quizzes:course-grading                     GET    in   404  403  200  200  200  200  404  404  404
quizzes:course-grading                     POST   in   404  403  403  200  200  200  404  404  404
quizzes:regrade-preview                    GET    in   404  403  403  200  200  200  404  404  404
quizzes:regrade-preview                    POST   in   405  405  405  405  405  405  405  405  405
quizzes:course-regrade                     GET    in   405  405  405  405  405  405  405  405  405
quizzes:course-regrade                     POST   in   404  403  403  200  200  200  404  404  404
quizzes:regrade-undo                       GET    in   405  405  405  405  405  405  405  405  405
quizzes:regrade-undo                       POST   in   404  403  403  302  302  302  404  404  404
quizzes:item-list                          GET    in   403  403  403  200  200  200  403  200  200
quizzes:item-list                          POST   in   405  405  405  405  405  405  405  405  405
quizzes:item-make                          GET    in   405  405  405  405  405  405  405  405  405
quizzes:item-make                          POST   in   403  403  403  200  200  200  403  200  200
quizzes:item-detail                        GET    in   403  403  403  200  200  200  403  200  200
quizzes:item-detail                        POST   in   405  405  405  405  405  405  405  405  405
quizzes:item-review                        GET    in   405  405  405  405  405  405  405  405  405
quizzes:item-review                        POST   in   403  403  403  200  200  200  403  200  200
quizzes:item-wording                       GET    in   403  403  403  200  200  200  403  200  200
quizzes:item-wording                       POST   in   403  403  403  200  200  200  403  200  200
quizzes:item-sibling                       GET    in   405  405  405  405  405  405  405  405  405
quizzes:item-sibling                       POST   in   403  403  403  302  302  302  403  302  302
quizzes:plan-list                          GET    in   403  403  403  200  200  200  403  200  200
quizzes:plan-list                          POST   in   405  405  405  405  405  405  405  405  405
quizzes:plan-new                           GET    in   403  403  403  200  200  200  403  200  200
quizzes:plan-new                           POST   in   403  403  403  200  200  200  403  200  200
quizzes:plan-detail                        GET    in   403  403  403  200  200  200  403  200  200
quizzes:plan-detail                        POST   in   405  405  405  405  405  405  405  405  405
quizzes:plan-edit                          GET    in   403  403  403  200  200  200  403  200  200
quizzes:plan-edit                          POST   in   403  403  403  200  200  200  403  200  200
quizzes:plan-assemble                      GET    in   405  405  405  405  405  405  405  405  405
quizzes:plan-assemble                      POST   in   403  403  403  302  302  302  403  302  302
quizzes:form-detail                        GET    in   403  403  403  200  200  200  403  200  200
quizzes:form-detail                        POST   in   405  405  405  405  405  405  405  405  405
quizzes:form-offer                         GET    in   405  405  405  405  405  405  405  405  405
quizzes:form-offer                         POST   in   403  403  403  302  302  302  403  302  302
quizzes:form-start                         GET    in   405  405  405  405  405  405  405  405  405
quizzes:form-start                         POST   in   404  302  302  302  302  404  404  404  404
lessons:course-questions                   GET    in   405  405  405  405  405  405  405  405  405
lessons:course-questions                   POST   in   404  403  403  302  302  302  404  404  404
lessons:item-samples                       GET    in   403  403  403  200  200  200  403  200  200
lessons:item-samples                       POST   in   405  405  405  405  405  405  405  405  405
lessons:course-detail                      GET    in   404  200  200  200  200  200  404  404  404
lessons:course-detail                      POST   in   405  405  405  405  405  405  405  405  405
lessons:course-members                     GET    in   404  403  200  200  200  200  404  404  404
lessons:course-members                     POST   in   405  405  405  405  405  405  405  405  405
lessons:member-role                        GET    in   405  405  405  405  405  405  405  405  405
lessons:member-role                        POST   in   404  403  403  403  302  302  404  404  404
lessons:teaching-set-compare               GET    in   403  403  403  200  200  200  403  200  200
lessons:teaching-set-compare               POST   in   405  405  405  405  405  405  405  405  405
lessons:course-teaching-set                GET    in   405  405  405  405  405  405  405  405  405
lessons:course-teaching-set                POST   in   404  403  403  403  302  302  404  404  404
lessons:herb-notes                         GET    in   200  200  200  200  200  200  200  200  200
lessons:herb-notes                         POST   in   405  405  405  405  405  405  405  405  405
lessons:herb-note                          GET    in   200  200  200  200  200  200  200  200  200
lessons:herb-note                          POST   in   200  200  200  200  200  200  200  200  200
lessons:teaching-set-list                  GET    in   403  403  403  200  200  200  403  200  200
lessons:teaching-set-list                  POST   in   405  405  405  405  405  405  405  405  405
lessons:teaching-set-detail                GET    in   403  403  403  200  200  200  403  200  200
lessons:teaching-set-detail                POST   in   405  405  405  405  405  405  405  405  405
lessons:teaching-set-copy                  GET    in   405  405  405  405  405  405  405  405  405
lessons:teaching-set-copy                  POST   in   403  403  403  302  302  302  403  302  302
lessons:teaching-set-edit                  GET    in   403  403  403  403  403  403  403  403  403
lessons:teaching-set-edit                  POST   in   403  403  403  403  403  403  403  403  403
lessons:teaching-set-changes               GET    in   403  403  403  200  200  200  403  200  200
lessons:teaching-set-changes               POST   in   405  405  405  405  405  405  405  405  405
lessons:teaching-set-share                 GET    in   405  405  405  405  405  405  405  405  405
lessons:teaching-set-share                 POST   in   403  403  403  403  403  403  403  403  403
herbs:herb-index                           GET    in   200  200  200  200  200  200  200  200  200
herbs:herb-index                           POST   in   405  405  405  405  405  405  405  405  405
herbs:herb-detail                          GET    in   200  200  200  200  200  200  200  200  200
herbs:herb-detail                          POST   in   405  405  405  405  405  405  405  405  405
herbs:herb-as-told-by                      GET    in   200  200  200  200  200  200  200  200  200
herbs:herb-as-told-by                      POST   in   405  405  405  405  405  405  405  405  405
herbs:cross-walk                           GET    in   200  200  200  200  200  200  200  200  200
herbs:cross-walk                           POST   in   405  405  405  405  405  405  405  405  405
herbs:part-compare                         GET    in   200  200  200  200  200  200  200  200  200
herbs:part-compare                         POST   in   405  405  405  405  405  405  405  405  405
herbs:herb-add                             GET    in   403  403  403  200  200  200  403  200  200
herbs:herb-add                             POST   in   403  403  403  200  200  200  403  200  200
herbs:herb-edit                            GET    in   403  403  403  200  200  200  403  200  200
herbs:herb-edit                            POST   in   403  403  403  200  200  200  403  200  200
herbs:claim-row                            GET    in   405  405  405  405  405  405  405  405  405
herbs:claim-row                            POST   in   403  403  403  400  400  400  403  400  400
herbs:herb-remove                          GET    in   403  403  403  200  200  200  403  200  200
herbs:herb-remove                          POST   in   403  403  403  302  302  302  403  302  302
herbs:herb-history                         GET    in   403  403  403  200  200  200  403  200  200
herbs:herb-history                         POST   in   405  405  405  405  405  405  405  405  405
herbs:edit-restore                         GET    in   405  405  405  405  405  405  405  405  405
herbs:edit-restore                         POST   in   403  403  403  404  404  404  403  404  404
herbs:herb-file                            GET    in   403  403  403  200  200  200  403  200  200
herbs:herb-file                            POST   in   405  405  405  405  405  405  405  405  405
herbs:edit-list                            GET    in   403  403  403  200  200  200  403  200  200
herbs:edit-list                            POST   in   405  405  405  405  405  405  405  405  405
herbs:exchange                             GET    in   403  403  403  200  200  200  403  200  200
herbs:exchange                             POST   in   403  403  403  200  200  200  403  200  200
herbs:claims-export                        GET    in   403  403  403  302  302  302  403  302  302
herbs:claims-export                        POST   in   405  405  405  405  405  405  405  405  405
herbs:exchange-preview                     GET    in   403  403  403  302  302  302  403  302  302
herbs:exchange-preview                     POST   in   405  405  405  405  405  405  405  405  405
herbs:exchange-confirm                     GET    in   405  405  405  405  405  405  405  405  405
herbs:exchange-confirm                     POST   in   403  403  403  302  302  302  403  302  302
herbs:herb-pictures                        GET    in   403  403  403  200  200  200  403  200  200
herbs:herb-pictures                        POST   in   403  403  403  200  200  200  403  200  200
herbs:picture-remove                       GET    in   403  403  403  404  404  404  403  404  404
herbs:picture-remove                       POST   in   403  403  403  404  404  404  403  404  404
herbs:picture-file                         GET    in   404  404  404  404  404  404  404  404  404
herbs:picture-file                         POST   in   405  405  405  405  405  405  405  405  405
herbs:contact-sheet                        GET    in   200  200  200  200  200  200  200  200  200
herbs:contact-sheet                        POST   in   405  405  405  405  405  405  405  405  405
herbs:part-detail                          GET    in   302  302  302  302  302  302  302  302  302
herbs:part-detail                          POST   in   405  405  405  405  405  405  405  405  405
herbs:class-index                          GET    in   200  200  200  200  200  200  200  200  200
herbs:class-index                          POST   in   405  405  405  405  405  405  405  405  405
herbs:class-detail                         GET    in   200  200  200  200  200  200  200  200  200
herbs:class-detail                         POST   in   405  405  405  405  405  405  405  405  405
"""
HTTP = ("GET", "POST")
PEOPLE = dict(zip(["no.", "str.", "stu.", "ass.", "ins.", "own.", "s.a.", "o.s.", "o.o.", "o.a."], [
    lambda: None, people.stranger, people.student, people.assistant, people.instructor, people.owner,
    people.administrator, people.other_student, people.other_owner, people.other_administrator,
], strict=True))  # fmt: skip
AGAIN = (reverse("account_reauthenticate"), reverse("mfa_reauthenticate"))


def rows() -> list[tuple[str, str, dict[str, str]]]:
    """(name, method, {person: answer}) of each line of the table."""
    found = []
    for line in TABLE.strip().splitlines()[1:]:
        name, method, *answers = line.split()
        found.append((name, method, dict(zip(PEOPLE, answers, strict=True))))
    return found


def names_of(resolver: URLResolver, namespace: str = "") -> list[str]:
    """The full names of all addresses; one without a name stands as its pattern."""
    found = []
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            inner = f"{namespace}{entry.namespace}:" if entry.namespace else namespace
            found += names_of(entry, inner)
        elif isinstance(entry, URLPattern):
            found.append(f"{namespace}{entry.name}" if entry.name else f"without a name: {entry.pattern}")
    return found


def path_of(name: str, drill: Attempt) -> str:
    """An address that exists, for a drill of the student's; without a name a pattern cannot be reached."""
    part = Part.objects.select_related("herb").order_by("slug").first()
    course, student = drill.course.slug, drill.student.username
    arguments = {
        "account_confirm_email": ["no-such-letter"],
        "account_reset_password_from_key": ["1", "no-such-letter"],
        "quizzes:member-drills": [course, student],
        "quizzes:attempt-detail": [drill.code],
        "quizzes:attempt-results": [drill.code],
        "quizzes:question-detail": [drill.code, 1],
        "quizzes:question-reading": [drill.code, 1],
        "quizzes:question-choice": [drill.code, 1],
        "quizzes:question-reason": [drill.code, 1],
        **{f"quizzes:{page}": [course] for page in ("course-grading", "regrade-preview", "course-regrade")},
        "lessons:course-detail": [course],
        "lessons:course-members": [course],
        "lessons:member-role": [course, student],
        "lessons:course-teaching-set": [course],
        "lessons:course-questions": [course],
        **{
            f"lessons:teaching-set-{page}": ["after-culpeper"]
            for page in ("detail", "copy", "edit", "changes", "share")
        },
        "lessons:herb-note": [part.herb.slug],
        "herbs:herb-detail": [part.herb.slug],
        "herbs:herb-as-told-by": [part.herb.slug],
        "herbs:part-detail": [part.slug],
        **{f"herbs:herb-{page}": [part.herb.slug] for page in ("edit", "remove", "history", "file", "pictures")},
        "herbs:edit-restore": [part.herb.slug, 1],
        "herbs:exchange-preview": ["no-such-file"],
        "herbs:exchange-confirm": ["no-such-file"],
        "herbs:picture-remove": [uuid.UUID(int=7)],
        "herbs:picture-file": [uuid.UUID(int=7), 320, "webp"],
        "herbs:class-detail": [factories.question(drill).item.action],
    }
    return reverse(name, args=arguments.get(name) or made_for(name, drill))


def made_for(name: str, drill: Attempt) -> list[object]:
    """The arguments of an address of the item bank, with what it names; made only when it is asked for."""
    if name in {f"quizzes:item-{page}" for page in ("detail", "review", "wording", "sibling")}:
        return [factories.banked_item().code]
    if name in {"quizzes:practice-next", "quizzes:practice-stop"}:
        return [factories.practice_session(drill.student).code]
    if name == "quizzes:regrade-undo":
        return [drill.course.slug, factories.regrade_of(drill.course).code]
    if name in {f"quizzes:plan-{page}" for page in ("detail", "edit", "assemble")}:
        return [factories.drill_plan().slug]
    if name in {f"quizzes:form-{page}" for page in ("detail", "offer", "start")}:
        return [factories.offered_form(drill.course).code]
    return []


def sent_with(method: str) -> dict[str, object]:
    """What our own forms would send; the forms of log-in find nothing that they know in it."""
    if method == "GET":
        return {}
    return {
        "action": "mixed", "length": 5, "code": str(uuid.uuid4()), "choice": 0, "reason": 0, "role": "assistant",
    }  # fmt: skip


def answer(name: str, method: str, who: str, drill: Attempt) -> tuple[HttpResponse, str]:
    """What a person is answered at an address, and the address. Nothing of it stays."""
    name, _, variant = name.partition("#")
    path = path_of(name, drill)
    with transaction.atomic():
        user = PEOPLE[who]()
        if variant == "answered":
            factories.answered(factories.question(drill))
        client = account_pages.confirmed(user) if user and "fresh" in variant else people.client_of(user)
        if user and "enrolled" in variant:
            account_pages.enrol(user)
        response = getattr(client, method.lower())(path, sent_with(method))
        transaction.set_rollback(True)
    return response, path


def told(response: HttpResponse, path: str) -> str:
    """An answer as the table writes it."""
    place = response.headers.get("Location", "")
    if response.status_code == 302 and place == f"{reverse('account_login')}?next={path}":
        return "in"
    if response.status_code == 302 and place.startswith(AGAIN):
        return "re"
    return str(response.status_code)


def test_the_table_names_every_address_and_no_other():
    named = set(names_of(get_resolver("config.urls")))
    listed = {name.partition("#")[0] for name, _, _ in rows()}
    assert listed == named, (
        f"missing from the table: {sorted(named - listed)}; not in config.urls: {sorted(listed - named)}"
    )


def test_the_table_tells_every_pair_once():
    listed = [(name, method) for name, method, _ in rows()]
    assert len(listed) == len(set(listed))
    assert {(name, method) for name in dict(listed) for method in HTTP} == set(listed)
    pairs = {(name, who) for name, _, answers in rows() for who in answers}
    assert len({name for name, _ in pairs}) > 40
    assert len(pairs) == len({name for name, _, _ in rows()}) * len(PEOPLE) > 400


@pytest.mark.parametrize(("name", "method", "expected"), [pytest.param(*row, id=" ".join(row[:2])) for row in rows()])
def test_what_each_person_is_answered(name, method, expected):
    drill = factories.attempt(people.student(), length=1)
    people.owner()  # so that the course keeps an owner, whoever asks
    found = {who: told(*answer(name, method, who, drill)) for who in PEOPLE}
    wrong = {who: (found[who], expected[who]) for who in PEOPLE if found[who] != expected[who]}
    assert not wrong, f"(found, expected): {wrong}"


@pytest.mark.parametrize("method", ["put", "patch", "delete", "trace"])
def test_no_address_of_ours_answers_a_method_that_it_does_not_know(method):
    drill = factories.attempt(people.student(), length=1)
    client = people.client_of(people.student())
    ours = {name for name, _, _ in rows() if "#" not in name and not name.startswith(("account_", "mfa_"))}
    assert len(ours) > 20
    for name in sorted(ours):
        assert getattr(client, method)(path_of(name, drill)).status_code == 405, name
