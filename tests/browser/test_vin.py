"""The vehicle's number at the desk: told while typed, taken over, scanned where the browser can."""

# A browser that can read barcodes: what it sees first is nothing, then the plate of an imported vehicle.
READER = """
window.BarcodeDetector = class {
  static async getSupportedFormats() { return ["code_39"]; }
  async detect() {
    window.looked = (window.looked || 0) + 1;
    return window.looked < 3 ? [] : [{ rawValue: "I1M8GDM9AXKP042788" }];
  }
};
const picture = () => {
  const canvas = document.createElement("canvas");
  canvas.getContext("2d").fillRect(0, 0, 10, 10);
  return canvas.captureStream(10);
};
Object.defineProperty(navigator, "mediaDevices", { value: { getUserMedia: async () => picture() } });
"""
REFUSED = READER.replace("async () => picture()", "async () => { throw new Error('no'); }")


def desk_of(windows, script=""):
    page = windows.open("maud")
    if script:
        page.add_init_script(script)
    page.goto("/orders/new/")
    return page


def test_the_number_is_told_and_its_year_taken_over_while_it_is_typed(windows):
    page = desk_of(windows)

    page.get_by_label("VIN").fill("1m8gdm9axkpo42788")
    page.get_by_role("button", name="Take 1M8GDM9AXKP042788").click()
    page.get_by_role("button", name="Take 1989").click()

    assert page.get_by_label("VIN").input_value() == "1M8GDM9AXKP042788"
    assert page.get_by_label("Year").input_value() == "1989"


def test_a_number_is_scanned_where_the_browser_reads_barcodes(windows):
    page = desk_of(windows, READER)

    page.get_by_role("button", name="Scan the number with the camera").last.click()
    page.get_by_text("The check digit agrees.").wait_for()

    assert page.get_by_label("VIN").input_value() == "1M8GDM9AXKP042788"
    assert page.locator("dialog").count() == 0


def test_a_camera_that_is_refused_leaves_the_typing(windows):
    page = desk_of(windows, REFUSED)

    page.get_by_role("button", name="Scan the number with the camera").last.click()
    page.get_by_text("The camera cannot be used here.").wait_for()
    page.get_by_role("button", name="Type it instead").click()

    assert page.get_by_label("VIN").evaluate("field => field === document.activeElement")


def test_no_scan_is_offered_where_the_browser_reads_no_barcodes(windows):
    page = desk_of(windows, "delete window.BarcodeDetector;")

    assert page.get_by_role("button", name="Scan").count() == 0
