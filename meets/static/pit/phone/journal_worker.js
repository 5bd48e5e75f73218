// Writes the second copy: a file of this origin, one line for an entry, flushed to the disk after each. Only a worker
// may write such a file. Each tab has its own, as a file has one writer.

const FOLDER = "journal";
const MOST_FILES = 16;

const files = navigator.storage.getDirectory().then((root) => root.getDirectoryHandle(FOLDER, { create: true }));
const mine = open();

async function open() {
  const folder = await files;
  for (let n = 1; n <= MOST_FILES; n++) {
    try {
      const file = await (await folder.getFileHandle(`${n}.txt`, { create: true })).createSyncAccessHandle();
      // A line that was cut off by a crash must not swallow the next one.
      if (file.getSize()) write(file, "\n");
      return file;
    } catch {
      // Another tab holds it.
    }
  }
  throw new Error("no file");
}

/** @param {FileSystemSyncAccessHandle} file @param {string} text */
function write(file, text) {
  file.write(new TextEncoder().encode(text), { at: file.getSize() });
  file.flush();
}

async function read() {
  const own = await mine;
  let text = "";
  // TypeScript does not know yet that a folder can be walked.
  for await (const file of /** @type {any} */ (await files).values()) {
    try {
      text += `${await (await file.getFile()).text()}\n`;
    } catch {
      // Held by another tab, which has read it.
    }
  }
  const bytes = new Uint8Array(own.getSize());
  own.read(bytes, { at: 0 });
  return `${text}\n${new TextDecoder().decode(bytes)}`;
}

/** @type {Record<string, (text: string) => Promise<unknown>>} */
const DO = {
  append: async (text) => write(await mine, text),
  read,
  clear: async () => {
    const file = await mine;
    file.truncate(0);
    file.flush();
  },
};

addEventListener("message", async ({ data }) => {
  try {
    postMessage({ n: data.n, value: await DO[data.what](data.text) });
  } catch (problem) {
    postMessage({ n: data.n, problem: String(problem) });
  }
});

export {}; // (a module: its names are its own)
