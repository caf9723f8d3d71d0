// Where a problem is, in the words of the form: "Height of the guard" and not the key of the job file.

import { runName, runs, store } from "./store.js";

const TABLES = { job: "This job", cable: "Cable", guard: "Guard", posts: "Posts", sheet: "Paper and sheets", jig: "Jigs", limits: "Limits" };
const NAMED = { post: "Post", fitting: "End fitting", bracket: "Rail bracket" };

export function placeWords(problem) {
  const path = problem.path || [];
  const [table, name, ...rest] = path;
  if (table === "run" && typeof name === "number" && runs()[name]) return `Run ${runName(runs()[name], name)}${inRun(rest)}`;
  if (table === "as_built" && name !== undefined) return `Post ${name}, as built${label("as_built", rest)}`;
  if (NAMED[table] && name !== undefined) return `${NAMED[table]} ${name}${label(table, rest)}`;
  if (TABLES[table]) {
    const found = label(table, path.slice(1));
    return path.length === 1 ? TABLES[table] : found ? `${TABLES[table]}${found}` : problem.where;
  }
  return problem.where;
}

function inRun(rest) {
  const [key, place, ...more] = rest;
  if (["spans", "clear", "slope"].includes(key)) return place === undefined ? ": its spans" : `: span ${place + 1}`;
  if (key === "posts") return place === undefined ? ": its posts" : `: post ${place + 1}`;
  if (["stair", "ramp", "spacers"].includes(key)) return label(key, [place, ...more]);
  if (key === "wire") return ": wire hole";
  return label("run", rest) || label("guard", rest);
}

function label(form, path) {
  const key = path.filter((step) => typeof step === "string").join(".");
  const spec = key && store.about.forms[form].find((one) => one.key === key || key.startsWith(`${one.key}.`));
  return spec ? `: ${spec.label}` : "";
}
