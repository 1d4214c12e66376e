"""The drawing of a recorded signal: by keyboard, by mouse, by touch, and without a script."""

import re

import pytest

from tests.browser.pages import drawn, pair, signal

SHOWN = "Wake line, module plugged in"
SEEN = """() => { const d = document.querySelector("[data-signal]").drawing;
  return {from: d.from, to: d.to, since: d.since, until: d.until, one: d.cursors[0], two: d.cursors[1]}; }"""
INKED = """() => { const c = document.querySelector("canvas");
  const p = c.getContext("2d").getImageData(0, 60, c.width, c.height - 120).data;
  let n = 0; for (let i = 3; i < p.length; i += 4) n += p[i] > 128; return n; }"""


@pytest.fixture
def page(windows, places):
    page = windows.open("tobin")
    page.goto(signal(SHOWN)(places))
    drawn(page)
    return page


def seen(page):
    return page.evaluate(SEEN)


def focus(page):
    page.locator(".signal-place").focus()


def test_the_whole_is_in_sight_and_drawn(page):
    now = seen(page)

    assert (now["from"], now["to"]) == (now["since"], now["until"])
    assert page.evaluate(INKED) > 1000
    assert page.locator(".signal-still").is_hidden()


def test_keys_bring_it_closer_move_it_and_show_the_whole(page):
    focus(page)
    whole = seen(page)

    page.keyboard.press("+")
    closer = seen(page)
    page.keyboard.press("ArrowRight")
    moved = seen(page)
    page.keyboard.press("Shift+ArrowLeft")
    back = seen(page)
    page.keyboard.press("-")
    page.keyboard.press("Home")

    span = whole["to"] - whole["from"]
    assert closer["to"] - closer["from"] == pytest.approx(span / 2)
    assert moved["from"] - closer["from"] == pytest.approx(span / 20)
    assert back["from"] == pytest.approx(max(moved["from"] - span / 4, 0))
    assert seen(page)["to"] == whole["to"]


def test_nothing_is_seen_beyond_the_recording(page):
    focus(page)
    for key in ("+", "+", *["Shift+ArrowRight"] * 20):
        page.keyboard.press(key)

    now = seen(page)
    assert now["to"] == pytest.approx(now["until"])


def test_the_closest_shows_single_samples(page):
    focus(page)
    for _ in range(30):
        page.keyboard.press("+")
    page.wait_for_timeout(300)

    now = seen(page)
    assert (now["to"] - now["from"]) / 50e-6 == pytest.approx(6, rel=0.01)  # Samples of 50 µs.
    assert page.evaluate(INKED) > 100


def test_a_cursor_is_a_slider(page):
    one = page.get_by_role("slider", name="Cursor 1")
    one.focus()
    before = seen(page)["one"]

    page.keyboard.press("Shift+ArrowRight")
    after = seen(page)["one"]
    page.keyboard.press("Home")

    page.wait_for_timeout(100)

    assert after > before
    assert seen(page)["one"] == seen(page)["from"]
    assert one.get_attribute("aria-valuetext") == "0 s"


def test_the_numbers_follow_the_cursors(page):
    for which, key in ((1, "Home"), (2, "End")):
        page.get_by_role("slider", name=f"Cursor {which}").focus()
        page.keyboard.press(key)
    page.wait_for_timeout(100)

    assert page.locator("[data-out=apart]").inner_text() == "200 ms"
    assert page.locator("[data-out=rate]").inner_text() == "5 Hz"
    assert re.fullmatch(r"[\d.]+ m?V( to [\d.]+ m?V)?", page.locator("[data-out=A-0]").inner_text())


def test_what_is_in_sight_is_told_once_the_hand_rests(page):
    focus(page)
    page.keyboard.press("+")
    page.wait_for_timeout(900)

    assert page.locator(".signal [role=status]").inner_text().startswith("In sight 50 ms to 150 ms. Cursors ")


def test_a_number_key_puts_a_cursor_in_the_middle(page):
    focus(page)
    page.keyboard.press("2")

    now = seen(page)
    assert now["two"] == pytest.approx((now["from"] + now["to"]) / 2)


def test_buttons_do_the_same(page):
    for name in ("Closer", "Later", "Earlier", "Wider", "Whole", "Cursors here"):
        page.get_by_role("button", name=name).click()

    now = seen(page)
    assert (now["from"], now["to"]) == (now["since"], now["until"])


def test_a_channel_is_put_out_of_sight(page):
    before = page.locator("canvas").bounding_box()["height"]

    page.get_by_role("checkbox", name="A trailer socket feed").uncheck()

    assert page.locator("canvas").bounding_box()["height"] < before


def test_the_wheel_scrolls_the_page_until_the_drawing_has_the_focus(page):
    box = page.locator("canvas").bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + 150)
    page.mouse.wheel(0, -200)
    page.wait_for_timeout(100)
    assert seen(page)["to"] == seen(page)["until"]

    focus(page)
    page.mouse.wheel(0, -200)
    page.wait_for_timeout(100)
    now = seen(page)
    assert now["to"] - now["from"] < now["until"] - now["since"]


def test_a_drag_moves_what_is_in_sight(page):
    focus(page)
    page.keyboard.press("+")
    before = seen(page)
    box = page.locator("canvas").bounding_box()

    page.mouse.move(box["x"] + 600, box["y"] + 150)
    page.mouse.down()
    page.mouse.move(box["x"] + 400, box["y"] + 150, steps=5)
    page.mouse.up()

    moved = (seen(page)["from"] - before["from"]) / (before["to"] - before["from"])
    assert moved == pytest.approx(200 / box["width"], rel=0.02)


def test_a_cursor_is_dragged(page):
    box = page.get_by_role("slider", name="Cursor 1").bounding_box()
    before = seen(page)["one"]

    page.mouse.move(box["x"] + 22, box["y"] + 10)
    page.mouse.down()
    page.mouse.move(box["x"] + 122, box["y"] + 10, steps=4)
    page.mouse.up()

    assert seen(page)["one"] > before


def test_two_fingers_bring_it_closer(windows, places):
    page = windows.open("tobin", width=390, has_touch=True)
    page.goto(signal(SHOWN)(places))
    drawn(page)
    fingers = page.context.new_cdp_session(page)
    box = page.locator("canvas").bounding_box()

    def touch(kind, *xs):
        points = [{"x": box["x"] + x, "y": box["y"] + 150, "id": n} for n, x in enumerate(xs)]
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", 150, 200)
    touch("touchMove", 125, 225)
    touch("touchMove", 75, 275)
    touch("touchEnd")

    now = seen(page)
    assert now["to"] - now["from"] < (now["until"] - now["since"]) / 2


def test_two_recordings_are_moved_against_each_other(windows, places):
    page = windows.open("tobin")
    page.goto(pair(places))
    drawn(page)
    shifts = "document.querySelector('[data-signal]').drawing.sources.map(s => s.shift)"
    before = page.evaluate(shifts)

    page.get_by_label("Move the second one later by, ms").fill("12.5")

    after = page.evaluate(shifts)
    assert after == pytest.approx([before[0], before[1] + 0.0125])


def test_without_a_script_there_is_the_picture(windows, places):
    page = windows.open("tobin", java_script_enabled=False)
    page.goto(signal(SHOWN)(places))

    assert page.locator(".signal-still > svg").is_visible()
    assert page.get_by_role("button", name="Closer").is_hidden()
    assert page.get_by_role("heading", name="What was computed").is_visible()


def test_a_lost_connection_is_made_good(page):
    page.context.set_offline(True)
    focus(page)
    for _ in range(4):
        page.keyboard.press("+")
    page.wait_for_timeout(200)
    assert page.evaluate(INKED) > 100  # What is at hand is drawn meanwhile.
    page.context.set_offline(False)
