// What is being typed at a place: quiet leading digits that stand for every reading there, and the digits in hand.

/** A number that is complete: "92.766", "-0.4". */
const WHOLE = /^-?\d+(\.\d+)?$/;

export class Typing {
  constructor(prefix = "", decimals = null) {
    this.given = prefix;
    this.decimals = decimals;
    this.clear();
  }

  /** Back to the leading digits. */
  clear() {
    this.prefix = this.given;
    this.digits = "";
  }

  /** Without leading digits: the whole number is typed. */
  whole() {
    this.prefix = "";
    this.digits = "";
  }

  get isWhole() {
    return this.prefix === "";
  }

  get text() {
    return this.prefix + this.digits;
  }

  get started() {
    return this.digits !== "";
  }

  /** Whether it is a number that can be saved. */
  get ready() {
    return this.started && WHOLE.test(this.text);
  }

  get number() {
    return this.ready ? Number(this.text) : NaN;
  }

  /** One key; says whether it was taken. */
  press(key) {
    if (key === "," || key === ".") {
      // Whoever types a point after leading digits that hold one types the whole number.
      if (this.prefix.includes(".")) this.prefix = "";
      if (this.text.includes(".")) return false;
      this.digits += this.text === "" || this.text === "-" ? "0." : ".";
      return true;
    }
    if (key === "-" || key === "−") {
      const typed = this.digits;
      if (this.prefix) this.whole();
      this.digits = typed.startsWith("-") ? typed.slice(1) : `-${typed}`;
      return true;
    }
    if (!/^\d$/.test(key) || this.text.replace(/\D/g, "").length >= 12) return false;
    this.digits += key;
    return true;
  }

  /** Takes the last digit away; then the leading digits. */
  rubOut() {
    if (this.digits) this.digits = this.digits.slice(0, -1);
    else this.prefix = "";
  }

  /** What was typed or pasted into the field as a whole. */
  take(text) {
    const typed = text.trim().replaceAll("−", "-").replace(/^(-?\d+),(\d+)$/, "$1.$2");
    if (this.prefix && typed.includes(".")) this.prefix = "";
    this.digits = typed;
  }
}
