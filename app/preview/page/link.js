// The line to the workshop: it is taken up again whenever it breaks, and then brings everything anew.

const WAITS = [300, 600, 1200, 2500];

export class Link extends EventTarget {
  #socket = null;
  #tries = 0;
  #fresh = true;

  constructor(store) {
    super();
    this.store = store;
    this.#open();
  }

  get up() {
    return this.#socket?.readyState === WebSocket.OPEN;
  }

  ask(what) {
    if (this.up) this.#socket.send(JSON.stringify(what));
  }

  #open() {
    const scheme = location.protocol === "https:" ? "wss" : "ws";
    const socket = new WebSocket(`${scheme}://${location.host}/line`);
    socket.binaryType = "arraybuffer";
    this.#socket = socket;
    this.#fresh = true;
    socket.onopen = () => {
      this.#tries = 0;
      this.dispatchEvent(new Event("up"));
    };
    socket.onmessage = (event) => this.#hear(event.data);
    socket.onclose = () => {
      this.dispatchEvent(new Event("down"));
      setTimeout(() => this.#open(), WAITS[Math.min(this.#tries++, WAITS.length - 1)]);
    };
  }

  #hear(data) {
    if (typeof data === "string") {
      this.dispatchEvent(new CustomEvent("said", { detail: JSON.parse(data) }));
      return;
    }
    this.store.take(data, this.#fresh);
    this.#fresh = false;
  }
}
