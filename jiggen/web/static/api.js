// What the page asks of its own server.

export const GONE = "The page's server does not answer: it was ended, or the network is gone. Start it again; what you typed is kept here.";

async function asked(path, how) {
  try {
    return await fetch(path, how);
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw Object.assign(new Error(GONE), { gone: true });
  }
}

async function answer(response) {
  const type = response.headers.get("content-type") || "";
  const data = type.includes("json") ? await response.json() : {};
  if (!response.ok) throw new Error(data.error || `the page's server answered ${response.status}`);
  return data;
}

export async function get(path) {
  return answer(await asked(path));
}

export async function send(path, data, signal) {
  const headers = { "content-type": "application/json" };
  return answer(await asked(path, { method: "POST", headers, body: JSON.stringify(data), signal }));
}

// A file that the server makes of what is sent; its problems as an error where it cannot.
export async function fileOf(path, data) {
  const headers = { "content-type": "application/json" };
  const response = await asked(path, { method: "POST", headers, body: JSON.stringify(data) });
  if (response.ok && !(response.headers.get("content-type") || "").includes("json")) return response.blob();
  const { problems } = await answer(response);
  throw new Error(problems.map((one) => `${one.where}: ${one.found}; ${one.remedy}`).join(". "));
}

export async function upload(path, file) {
  const headers = { "content-type": "application/octet-stream" };
  return answer(await asked(path, { method: "POST", headers, body: file }));
}

export async function remove(path) {
  return answer(await asked(path, { method: "DELETE" }));
}

export function save(name, text, type = "application/toml") {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], { type }));
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}
