/* Where does a scan stay until the server has answered it?

   In IndexedDB, which works on plain HTTP too. One record a scan: {seq, endpoint, state, tries, scan, ...}; seq
   is given by the store and is the order of sending. Where the browser offers no store (private window, storage
   switched off) scans are kept in memory only, `lasting` is false and the page says so. */

const NAME = "lotroot-scans";
const STORE = "scans";

/** Open the store. Returns {lasting, all(), add(record), put(record), remove(record)}; all but `lasting` asynchronous. */
export async function openKept() {
  let store = await openDatabase().then(lastingStore, memoryStore);
  // A full disk or a cleared store must not stop the work: from then on scans live in memory and `lasting` says so.
  const orInMemory = (act) => async (record) => {
    try {
      await store[act](record);
    } catch {
      store = memoryStore();
      await store[act](record);
    }
  };
  return {
    get lasting() { return store.lasting; },
    all: () => store.all(),
    add: orInMemory("add"),
    put: orInMemory("put"),
    remove: orInMemory("remove"),
  };
}

function openDatabase() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => request.result.createObjectStore(STORE, { keyPath: "seq", autoIncrement: true });
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

function lastingStore(database) {
  // Resolves when the transaction is complete: only then is the scan on the disk and may be sent.
  const run = (mode, work) =>
    new Promise((resolve, reject) => {
      const transaction = database.transaction(STORE, mode, { durability: "strict" });
      const request = work(transaction.objectStore(STORE));
      transaction.oncomplete = () => resolve(request.result);
      transaction.onabort = () => reject(transaction.error);
    });
  return {
    lasting: true,
    all: () => run("readonly", (store) => store.getAll()),
    add: async (record) => { record.seq = await run("readwrite", (store) => store.add(record)); },
    put: (record) => run("readwrite", (store) => store.put(record)),
    remove: (record) => run("readwrite", (store) => store.delete(record.seq)),
  };
}

function memoryStore() {
  let last = 0;
  return {
    lasting: false,
    all: async () => [],
    add: async (record) => { record.seq = ++last; },
    put: async () => {},
    remove: async () => {},
  };
}
