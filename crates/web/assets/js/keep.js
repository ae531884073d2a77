// Where entries are kept until the shop has them: IndexedDB, which outlives a reload and a restart of the browser.
// Where a browser has none (private windows of some, storage switched off) they are kept in the page alone, and that is said.

const NAME = "plateau";
const STORE = "entries";

let opened = null;
let memory = null;
let order = 0;

function open() {
  opened ??= new Promise((resolve, reject) => {
    if (!("indexedDB" in window)) return reject(new Error("no storage"));
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      const entries = request.result.createObjectStore(STORE, { keyPath: "order", autoIncrement: true });
      entries.createIndex("id", "id", { unique: true });
    };
    request.onsuccess = () => {
      // A newer version of the page in another tab may want to change the store.
      request.result.onversionchange = () => {
        request.result.close();
        opened = null;
      };
      resolve(request.result);
    };
    request.onerror = () => reject(request.error);
    request.onblocked = () => reject(new Error("the storage is held by another tab"));
  });
  return opened;
}

/** Runs one transaction; resolves when it is on disk. */
async function within(mode, work) {
  const db = await open();
  return new Promise((resolve, reject) => {
    let result;
    // strict: an entry counts as kept when it is written through, not when the browser has it in memory.
    const transaction = db.transaction(STORE, mode, mode === "readwrite" ? { durability: "strict" } : {});
    const request = work(transaction.objectStore(STORE));
    if (request) request.onsuccess = () => (result = request.result);
    transaction.oncomplete = () => resolve(result);
    transaction.onerror = transaction.onabort = () => reject(transaction.error ?? new Error("not kept"));
  });
}

/** Whether entries live in this page only. */
export const inMemory = () => memory !== null;

/** Keeps an entry behind those that are there. */
export async function add(entry) {
  if (memory) return void memory.push({ ...entry, order: ++order });
  try {
    await within("readwrite", (store) => store.add(entry));
  } catch (fault) {
    if (fault?.name === "ConstraintError") return; // it is there already
    memory ??= [];
    memory.push({ ...entry, order: ++order });
  }
}

/** Everything kept, in the order in which it was made. */
export async function all() {
  const page = memory ?? [];
  try {
    return [...(await within("readonly", (store) => store.getAll())), ...page];
  } catch {
    return [...page];
  }
}

/** Takes entries away that the shop has, or that a person struck. */
export async function remove(ids) {
  const gone = new Set(ids);
  if (memory) memory = memory.filter((entry) => !gone.has(entry.id));
  await change((entry) => (gone.has(entry.id) ? null : entry));
}

/** Changes one entry: its standing, the shop's words. */
export async function mark(id, changes) {
  const kept = memory?.find((entry) => entry.id === id);
  if (kept) Object.assign(kept, changes);
  await change((entry) => (entry.id === id ? { ...entry, ...changes } : entry));
}

async function change(how) {
  try {
    await within("readwrite", (store) => {
      store.openCursor().onsuccess = ({ target }) => {
        const cursor = target.result;
        if (!cursor) return;
        const next = how(cursor.value);
        if (next === null) cursor.delete();
        else if (next !== cursor.value) cursor.update(next);
        cursor.continue();
      };
    });
  } catch (fault) {
    if (!memory) throw fault;
  }
}
