// The vehicle's number: while it is typed, say what it says and offer to take it over; and where this browser
// can read barcodes, scan it from the plate. Everything works without: the server looks at the number again.
"use strict";

(() => {
  const WAIT = 350;
  const FORMATS = ["code_39", "code_128", "data_matrix", "qr_code", "pdf417"];

  const fieldLike = (field, name) => field.form.querySelector(`[name="${field.name.replace(/vin$/, name)}"]`);

  const fill = (field, value) => {
    if (!field) return;
    field.value = value;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  };

  // What the number says.
  const listen = (field, box) => {
    let timer = 0;
    let asked = field.value;

    const offer = () => {
      for (const button of box.querySelectorAll("button[hidden]")) button.hidden = false;
    };

    const ask = async () => {
      if (field.value === asked) return;
      asked = field.value;
      const now = asked;
      try {
        const answer = await fetch(`${box.dataset.vinSaid}?vin=${encodeURIComponent(now)}`);
        const text = answer.ok && !answer.redirected ? await answer.text() : "";
        if (now !== field.value) return;
        box.innerHTML = text;
        offer();
      } catch {
        box.textContent = ""; // No connection: the number is looked at when the form is sent.
      }
    };

    field.addEventListener("input", () => {
      clearTimeout(timer);
      timer = setTimeout(ask, WAIT);
    });
    field.addEventListener("change", ask);
    field.addEventListener("put-back", ask);
    box.addEventListener("click", (event) => {
      const { fillVin, fillYear, fillEmpty, make, model, engine, year } = event.target.dataset;
      if (fillVin) fill(field, fillVin);
      else if (fillYear) fill(fieldLike(field, "year"), fillYear);
      else if (fillEmpty !== undefined) {
        for (const [name, value] of Object.entries({ make, model, engine, year })) {
          const other = fieldLike(field, name);
          if (other && !other.value.trim()) fill(other, value);
        }
      } else return;
      field.focus();
    });
    offer();
  };

  // A plate's barcode may carry an I before the number, for an imported vehicle (common practice).
  const numberIn = (text) => {
    const plain = text.trim().toUpperCase().replace(/^\*|\*$/g, "");
    return /^I[0-9A-Z]{17}$/.test(plain) ? plain.slice(1) : plain;
  };

  const element = (name, text, attributes = {}) => {
    const made = document.createElement(name);
    made.textContent = text;
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    return made;
  };

  const open = async (field, detector) => {
    const dialog = element("dialog", "", { class: "scan", "aria-label": "Scan the number" });
    const video = element("video", "", { playsinline: "", "aria-hidden": "true" });
    const told = element("p", "Hold the barcode of the plate before the camera.", { role: "status" });
    const close = element("button", "Type it instead", { type: "button", class: "btn" });
    dialog.append(video, told, close);
    document.body.append(dialog);
    dialog.showModal();

    let stream = null;
    const end = () => {
      for (const track of stream ? stream.getTracks() : []) track.stop();
      dialog.remove();
      field.focus();
    };
    dialog.addEventListener("close", end);
    close.addEventListener("click", () => dialog.close());

    const look = async () => {
      if (!dialog.open) return;
      try {
        const found = await detector.detect(video);
        if (found.length && dialog.open) {
          fill(field, numberIn(found[0].rawValue));
          field.dispatchEvent(new Event("change", { bubbles: true }));
          dialog.close();
          return;
        }
      } catch {
        // A picture that is not there yet: look again.
      }
      setTimeout(look, 150);
    };

    try {
      stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
      if (!dialog.open) {
        for (const track of stream.getTracks()) track.stop();
        return;
      }
      video.srcObject = stream;
      await video.play();
      look();
    } catch {
      told.textContent = "The camera cannot be used here. Type the number, or allow the camera for this page.";
    }
  };

  const offerScan = async (field) => {
    if (!("BarcodeDetector" in window) || !navigator.mediaDevices || !HTMLDialogElement.prototype.showModal) return;
    const known = await BarcodeDetector.getSupportedFormats();
    const formats = FORMATS.filter((format) => known.includes(format));
    if (!formats.length) return;
    const button = element("button", "Scan", { type: "button", class: "btn" });
    button.append(element("span", " the number with the camera", { class: "sr" }));
    button.addEventListener("click", () => open(field, new BarcodeDetector({ formats })));
    field.after(button);
  };

  for (const box of document.querySelectorAll("[data-vin-said]")) {
    const field = box.closest("form").querySelector('input[name="vin"], input[name$="-vin"]');
    if (field) listen(field, box);
  }
  for (const field of document.querySelectorAll('input[name="vin"], input[name$="-vin"], #find-q')) offerScan(field);
})();
