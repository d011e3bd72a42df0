// Asks the server for a screen while somebody types: after a short pause, and only the last
// question is answered.

export const PAUSE = 40; // ms without a key

export class Asking {
  #timer = 0;
  #running = null;

  // Calls `show` with the document at the address, or `fail` with what went wrong.
  ask(address, show, fail) {
    this.stop();
    this.#timer = setTimeout(() => this.#fetch(address, show, fail), PAUSE);
  }

  // Forgets the question that waits, and the one that is being answered.
  stop() {
    clearTimeout(this.#timer);
    this.#running?.abort();
    this.#running = null;
  }

  async #fetch(address, show, fail) {
    const running = new AbortController();
    this.#running = running;
    try {
      const answer = await fetch(address, { signal: running.signal, redirect: "error" });
      const text = await answer.text();
      const screen = new DOMParser().parseFromString(text, "text/html");
      if (running.signal.aborted) return;
      if (answer.ok) show(screen);
      else fail(screen.querySelector("main")?.innerText ?? `${answer.status}`);
    } catch (error) {
      if (error.name !== "AbortError") fail("No answer: is limitcheck page still running?");
    }
  }
}
