// What this phone keeps, in IndexedDB: acts in the order they were done, photographs until they are sent, a few facts.
// Acts stay here until the workshop has answered; never a code, never money.

const NAME = "shutline-site";
let opening;

function database() {
  opening ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      const acts = request.result.createObjectStore("acts", { keyPath: "order", autoIncrement: true });
      acts.createIndex("key", "key", { unique: true });
      request.result.createObjectStore("photographs", { keyPath: "key" });
      request.result.createObjectStore("facts", { keyPath: "name" });
    };
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  return opening;
}

// Runs `work` with the stores in one transaction; resolves once it is on the disk, with what the request gave.
async function inOne(stores, mode, work) {
  const db = await database();
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(stores, mode, { durability: "strict" });
    const request = work(...stores.map((name) => transaction.objectStore(name)));
    transaction.oncomplete = () => resolve(request?.result);
    transaction.onerror = transaction.onabort = () => reject(transaction.error);
  });
}

export function keep(act, photograph) {
  return inOne(["acts", "photographs"], "readwrite", (acts, photographs) => {
    if (photograph) photographs.put(photograph);
    return acts.add(act);
  });
}

export function change(act) {
  return inOne(["acts"], "readwrite", (acts) => acts.put(act));
}

export async function allActs() {
  return inOne(["acts"], "readonly", (acts) => acts.getAll());
}

export async function photographOf(key) {
  return inOne(["photographs"], "readonly", (photographs) => photographs.get(key));
}

export async function changePhotograph(photograph) {
  return inOne(["photographs"], "readwrite", (photographs) => photographs.put(photograph));
}

// Answered acts are shown for a day, then forgotten here; the workshop has them.
export async function forgetOld(now) {
  const day = 24 * 3600 * 1000;
  const gone = (await allActs()).filter((act) => act.state !== "kept" && now - Date.parse(act.sent_at) > day);
  for (const act of gone) await inOne(["acts"], "readwrite", (acts) => acts.delete(act.order));
}

export async function dropPhotograph(key) {
  return inOne(["photographs"], "readwrite", (photographs) => photographs.delete(key));
}

export async function fact(name) {
  return (await inOne(["facts"], "readonly", (facts) => facts.get(name)))?.value;
}

export async function setFact(name, value) {
  return inOne(["facts"], "readwrite", (facts) => facts.put({ name, value }));
}

export function newKey() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 15) | 64;
  bytes[8] = (bytes[8] & 63) | 128;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

export async function deviceName() {
  let name = await fact("device");
  if (!name) {
    name = newKey();
    await setFact("device", name);
  }
  return name;
}
