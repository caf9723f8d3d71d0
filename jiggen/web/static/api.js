// What the page asks of its own server.

async function answer(response) {
  const type = response.headers.get("content-type") || "";
  const data = type.includes("json") ? await response.json() : {};
  if (!response.ok) throw new Error(data.error || `the page's server answered ${response.status}`);
  return data;
}

export async function get(path) {
  return answer(await fetch(path));
}

export async function send(path, data, signal) {
  const headers = { "content-type": "application/json" };
  return answer(await fetch(path, { method: "POST", headers, body: JSON.stringify(data), signal }));
}

export async function upload(path, file) {
  const headers = { "content-type": "application/octet-stream" };
  return answer(await fetch(path, { method: "POST", headers, body: file }));
}

export async function remove(path) {
  return answer(await fetch(path, { method: "DELETE" }));
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
