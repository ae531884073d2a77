// Bringing in logs: drop them on the page or choose them. Several files are the logs of one run.
// Without this script the form inside works as it stands.

const SECOND = 1000;

class BringLog extends HTMLElement {
  #form;
  #input;
  #going;
  #started = 0;
  #depth = 0;
  #stop = new AbortController();

  connectedCallback() {
    this.#form = this.querySelector("form");
    this.#input = this.querySelector("input[type=file]");
    this.#going = this.querySelector(".going");
    if (!this.#form || !this.#input) return;
    this.#stop = new AbortController();
    const signal = this.#stop.signal;
    this.#form.addEventListener("submit", (event) => {
      event.preventDefault();
      if (this.#input.files.length) this.#send([...this.#input.files]);
      else this.#input.click();
    }, { signal });
    this.#input.addEventListener("change", () => this.#input.files.length && this.#send([...this.#input.files]), { signal });
    // The whole page takes a drop, so that nobody has to aim.
    document.addEventListener("dragenter", (event) => this.#drag(event, 1), { signal });
    document.addEventListener("dragleave", (event) => this.#drag(event, -1), { signal });
    document.addEventListener("dragover", (event) => hasFiles(event) && event.preventDefault(), { signal });
    document.addEventListener("drop", (event) => {
      if (!hasFiles(event)) return;
      event.preventDefault();
      this.#depth = 0;
      this.classList.remove("over");
      this.#send([...event.dataTransfer.files]);
    }, { signal });
    document.addEventListener("reading", (event) => this.#reading(event.detail), { signal });
  }

  disconnectedCallback() {
    this.#stop.abort();
  }

  #drag(event, step) {
    if (!hasFiles(event)) return;
    event.preventDefault();
    this.#depth = Math.max(0, this.#depth + step);
    this.classList.toggle("over", this.#depth > 0);
  }

  #send(files) {
    if (this.hasAttribute("data-in-hand")) return;
    const mark = crypto.randomUUID?.() ?? String(Math.random()).slice(2);
    const body = new FormData();
    for (const [name, value] of new FormData(this.#form)) {
      if (name !== "logs" && name !== "mark") body.append(name, value);
    }
    body.append("mark", mark);
    for (const file of files) body.append("logs", file, file.name);
    this.setAttribute("data-in-hand", mark);
    this.#started = performance.now();
    this.querySelector(".banner")?.remove();

    const request = new XMLHttpRequest();
    request.open("POST", this.#form.action);
    request.responseType = "document";
    request.setRequestHeader("accept", "text/html");
    request.upload.addEventListener("progress", (event) => {
      if (event.lengthComputable) this.#show(event.loaded, event.total, `${mega(event.loaded)} of ${mega(event.total)} MB handed over`);
    });
    request.addEventListener("load", () => {
      this.removeAttribute("data-in-hand");
      if (request.status < 400) {
        location.assign(request.responseURL || "/runs");
      } else {
        this.#fault(request.responseXML ?? request.response, request.status);
      }
    });
    request.addEventListener("error", () => {
      this.removeAttribute("data-in-hand");
      this.#hide();
      this.#banner("No link to the shop.", "The log did not arrive; it still stands where you took it from. See that the server runs, then bring it in again.");
    });
    request.send(body);
  }

  #reading(news) {
    if (news.mark !== this.getAttribute("data-in-hand")) return;
    this.#show(news.done, news.of, news.words);
  }

  // Nothing is shown for the first second: most logs are read by then.
  #show(done, of, words) {
    if (performance.now() - this.#started < SECOND || !this.#going) return;
    this.#going.hidden = false;
    const bar = this.#going.querySelector("progress");
    if (of > 0) {
      bar.max = of;
      bar.value = done;
    } else {
      bar.removeAttribute("value");
    }
    this.#going.querySelector(".words").textContent = words;
  }

  #hide() {
    if (this.#going) this.#going.hidden = true;
  }

  #fault(page, status) {
    this.#hide();
    const banner = page?.querySelector?.("main .banner");
    if (banner) this.append(document.adoptNode(banner));
    else this.#banner(page?.querySelector?.("main h1")?.textContent ?? `The shop answered ${status}.`, page?.querySelector?.("main .finding")?.textContent ?? "");
    this.querySelector(".banner")?.setAttribute("role", "alert");
    this.#input.value = "";
  }

  #banner(what, next) {
    const banner = document.createElement("div");
    banner.className = "banner";
    banner.append(document.createElement("span"), document.createElement("div"));
    for (const [text, name] of [[what, "what"], [next, ""]]) {
      const line = document.createElement("p");
      line.textContent = text;
      if (name) line.className = name;
      banner.lastElementChild.append(line);
    }
    this.append(banner);
  }
}

const hasFiles = (event) => event.dataTransfer?.types?.includes("Files") ?? false;
const mega = (bytes) => (bytes / 1e6).toFixed(bytes < 1e7 ? 1 : 0);

customElements.define("bring-log", BringLog);
