"""Photos of a job, from the tablet to the page."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from shared.models import AuditEntry
from shop.models import Photo
from tests.factories import PhotoFactory

pytestmark = pytest.mark.django_db

ABOUT = {"caption": "Green corrosion in the connector", "place": "seen"}


@pytest.fixture(autouse=True)
def shelf(settings, tmp_path):
    settings.PHOTOS_DIR = tmp_path / "photos"
    return settings.PHOTOS_DIR


def photo(colour="red", name="IMG_1.jpg"):
    drawn = io.BytesIO()
    Image.new("RGB", (640, 480), colour).save(drawn, "JPEG")
    return SimpleUploadedFile(name, drawn.getvalue(), "image/jpeg")


def send(client, order, *files, **about):
    return client.post(f"/orders/{order.pk}/record/photo/", {**ABOUT, **about, "pictures": list(files)})


def test_photos_taken_together_are_kept_together(technician, order):
    response = send(technician, order, photo("red"), photo("blue"))

    assert response["Location"] == f"/orders/{order.pk}/#seen"
    assert [(kept.ref, kept.caption) for kept in Photo.objects.all()] == [
        ("P1", ABOUT["caption"]),
        ("P2", ABOUT["caption"]),
    ]
    assert AuditEntry.objects.filter(action="add photo").count() == 2


def test_one_file_that_is_no_photo_keeps_the_others_out(technician, order, shelf):
    page = send(technician, order, photo(), SimpleUploadedFile("note.jpg", b"<html>")).content.decode()

    assert "note.jpg: This file cannot be opened as a picture. Allowed: JPEG, PNG or WebP" in page
    assert ABOUT["caption"] in page
    assert not Photo.objects.exists()
    assert not shelf.exists()


def test_more_than_six_at_once_are_refused(technician, order):
    page = send(technician, order, *[photo() for _ in range(7)]).content.decode()

    assert "7 photos were chosen. At most 6 at once." in page


def test_a_form_without_a_photo_asks_for_one(technician, order):
    assert "Choose a photo, or take one." in send(technician, order).content.decode()


def test_the_page_of_the_job_shows_the_photo_where_it_belongs(technician, order):
    kept = PhotoFactory(order=order, caption="Arcing at the lead", place="cause")

    page = technician.get(f"/orders/{order.pk}/").content.decode()

    assert f'<img src="/photos/{kept.pk}/small/" alt="Arcing at the lead"' in page


def test_a_photo_is_served_as_a_picture_and_nothing_else(technician, order):
    send(technician, order, photo())

    response = technician.get(f"/photos/{Photo.objects.get().pk}/")

    assert Image.open(io.BytesIO(response.content)).size == (640, 480)
    assert response["Content-Type"] == "image/jpeg"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["Content-Security-Policy"] == "sandbox; default-src 'none'"


def test_a_photo_whose_file_is_lost_is_not_found(technician, order):
    kept = PhotoFactory(order=order)

    assert technician.get(f"/photos/{kept.pk}/").status_code == 404


def test_a_photo_set_aside_is_shown_no_more_and_stays_on_record(technician, order):
    kept = PhotoFactory(order=order)

    technician.post(f"/orders/{order.pk}/record/photo-set-aside/{kept.pk}/", {"reason": "A face is on it."})

    assert "/photos/" not in technician.get(f"/orders/{order.pk}/").content.decode()
    assert Photo.objects.get().set_aside_reason == "A face is on it."


def test_the_page_takes_as_many_queries_for_many_photos_as_for_one(
    technician, order, django_assert_num_queries, django_assert_max_num_queries
):
    PhotoFactory(order=order)
    with django_assert_max_num_queries(100) as one:
        technician.get(f"/orders/{order.pk}/")
    PhotoFactory.create_batch(9, order=order)

    with django_assert_num_queries(len(one)):
        technician.get(f"/orders/{order.pk}/")
