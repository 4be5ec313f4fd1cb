// What the page asks its board for. Nothing else is ever asked.

/** The board cannot be reached: it was stopped, or the machine sleeps. */
export class Away extends Error {}

/** The board would not do it; `told` says why. */
export class Refused extends Error {
  /** @param {any} body */
  constructor(body) {
    super(body?.told?.message ?? body?.refused ?? "");
    /** @type {string} */
    this.refused = body?.refused ?? "told";
    /** @type {Told | undefined} */
    this.told = body?.told;
  }
}

/**
 * @param {string} path
 * @param {Record<string, string | number>} [values]
 */
export function address(path, values = {}) {
  const query = Object.entries(values).map(([key, value]) => `${key}=${encodeURIComponent(value)}`);
  return query.length ? `${path}?${query.join("&")}` : path;
}

/**
 * @param {string} path
 * @param {Record<string, string | number>} [values]
 * @returns {Promise<any>}
 */
export function get(path, values) {
  return ask(address(path, values), { method: "GET" });
}

/**
 * @param {string} path
 * @param {unknown} body
 * @returns {Promise<any>}
 */
export function post(path, body) {
  return ask(path, { method: "POST", body: JSON.stringify(body), headers: { "content-type": "application/json" } });
}

/**
 * Hands a file over as it is.
 * @param {string} path
 * @param {Record<string, string | number>} values
 * @param {Blob} file
 * @returns {Promise<any>}
 */
export function send(path, values, file) {
  return ask(address(path, values), { method: "POST", body: file, headers: { "content-type": "application/octet-stream" } });
}

/**
 * @param {string} where
 * @param {RequestInit} how
 */
export async function ask(where, how) {
  let answer;
  try {
    answer = await fetch(where, how);
  } catch {
    throw new Away();
  }
  if (answer.status === 401) {
    // The board was started anew and does not know this page: only its own address lets in.
    location.reload();
    throw new Away();
  }
  if (answer.status >= 500) throw new Away();
  const body = await answer.json().catch(() => undefined);
  if (!answer.ok) throw new Refused(body);
  return body;
}

/**
 * Hears what happens on the board.
 * @param {(event: {panel?: string, n?: number, job?: string, line?: string}) => void} heard
 * @param {(here: boolean) => void} changed  whether the board is there
 */
export function listen(heard, changed) {
  let last = Date.now();
  /** @type {EventSource | undefined} */
  let source;
  const open = () => {
    source?.close();
    source = new EventSource("/api/events");
    source.onopen = () => {
      last = Date.now();
      changed(true);
      heard({});
    };
    source.onmessage = (message) => {
      last = Date.now();
      heard(JSON.parse(message.data));
    };
    source.addEventListener("beat", () => {
      last = Date.now();
    });
    source.onerror = () => {
      changed(false);
      if (source?.readyState === EventSource.CLOSED) setTimeout(open, 1000);
    };
  };
  open();
  setInterval(() => {
    if (Date.now() - last > 12_000) {
      changed(false);
      last = Date.now();
      open();
    }
  }, 2000);
}
