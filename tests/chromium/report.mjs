// Looks at an HTML report in headless Chromium: nothing is asked for outside the file, it prints on two pages of A4 and of
// Letter, and nothing runs over the edge at the width of a phone. Screenshots are left beside the report to be looked at.
//
// By hand: node --experimental-websocket tests/chromium/report.mjs REPORT.html [CHROMIUM]
// Wants Node.js 20 or later and Debian's chromium; no packages. Exits 1 where something is wrong, 2 where it could not look.
import { spawn } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [report, chromium = "chromium"] = process.argv.slice(2);
if (!report) {
  console.error("expected the report's HTML file");
  process.exit(2);
}
const home = mkdtempSync(join(tmpdir(), "report-"));
const flags = ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
  "--disable-component-update", "--disable-sync", "--disable-quic", "--remote-debugging-port=0", `--user-data-dir=${home}`];
const browser = spawn(chromium, [...flags, "about:blank"], { stdio: ["ignore", "ignore", "pipe"] });
browser.on("error", (e) => { console.error(`could not start ${chromium}: ${e.message}`); process.exit(2); });
const late = setTimeout(() => { console.error("the browser did not answer within a minute"); browser.kill(); process.exit(2); }, 60000);

// The browser says on its standard error where it listens.
const port = await new Promise((found) => {
  let said = "";
  browser.stderr.on("data", (text) => {
    said += text;
    const at = said.match(/listening on ws:\/\/127\.0\.0\.1:(\d+)\//);
    if (at) found(at[1]);
  });
});
const [page] = (await (await fetch(`http://127.0.0.1:${port}/json`)).json()).filter((t) => t.type === "page");
const socket = new WebSocket(page.webSocketDebuggerUrl);
await new Promise((open) => (socket.onopen = open));
let last = 0;
const waiting = new Map();
const asked = [];
let loaded;
const isLoaded = new Promise((done) => (loaded = done));
socket.onmessage = ({ data }) => {
  const said = JSON.parse(data);
  if (said.id) {
    const { resolve: good, reject: bad } = waiting.get(said.id);
    said.error ? bad(new Error(said.error.message)) : good(said.result);
  }
  if (said.method === "Network.requestWillBeSent") asked.push(said.params.request.url);
  if (said.method === "Page.loadEventFired") loaded();
};
const ask = (method, params = {}) =>
  new Promise((good, bad) => {
    last += 1;
    waiting.set(last, { resolve: good, reject: bad });
    socket.send(JSON.stringify({ id: last, method, params }));
  });

const wrong = [];
const url = pathToFileURL(resolve(report)).href;
await ask("Page.enable");
await ask("Network.enable");
await ask("Page.navigate", { url });
await isLoaded;
await new Promise((done) => setTimeout(done, 500));
const outside = asked.filter((u) => u !== url);
if (!asked.includes(url)) wrong.push("the report itself was not seen to load, so requests are not seen");
if (outside.length) wrong.push(`asked for: ${outside.join(", ")}`);
console.log(`requests: ${asked.length}, beyond the file itself: ${outside.length}`);

for (const [name, width, height, scale] of [["phone", 360, 740, 2], ["desk", 1280, 900, 1]]) {
  await ask("Emulation.setDeviceMetricsOverride", { width, height, deviceScaleFactor: scale, mobile: name === "phone" });
  // The widest thing on the page and what it is; what is laid beside the page on purpose (heads of tables) is left out.
  const look = `(() => { const over = [...document.body.querySelectorAll("*")].filter(e => !e.closest("thead"))
    .map(e => [e.getBoundingClientRect().right, e.tagName + "." + e.className]).filter(([r]) => r > ${width} + 0.5);
    return JSON.stringify({ page: document.documentElement.scrollWidth, over: over.slice(0, 5) }); })()`;
  const { result } = await ask("Runtime.evaluate", { expression: look });
  const seen = JSON.parse(result.value);
  console.log(`${name}, ${width} px: page ${seen.page} px wide, ${seen.over.length} things over the edge`);
  if (seen.page > width || seen.over.length) wrong.push(`${name}: ${result.value}`);
  const { data } = await ask("Page.captureScreenshot", { format: "png", captureBeyondViewport: true });
  writeFileSync(report.replace(/\.html$/, "") + `-${name}.png`, Buffer.from(data, "base64"));
}
await ask("Emulation.clearDeviceMetricsOverride");
for (const [name, paperWidth, paperHeight] of [["a4", 8.27, 11.69], ["letter", 8.5, 11]]) {
  const { data } = await ask("Page.printToPDF", { paperWidth, paperHeight, preferCSSPageSize: false, printBackground: true });
  const pdf = Buffer.from(data, "base64");
  writeFileSync(report.replace(/\.html$/, "") + `-${name}.pdf`, pdf);
  const pages = (pdf.toString("latin1").match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;
  console.log(`${name}: ${pages} pages`);
  if (pages < 1 || pages > 2) wrong.push(`${name}: ${pages} pages, expected one or two`);
}
clearTimeout(late);
socket.close();
const gone = new Promise((done) => browser.on("exit", done));
browser.kill();
await gone;
rmSync(home, { recursive: true, force: true });
for (const line of wrong) console.log(`WRONG ${line}`);
process.exit(wrong.length ? 1 : 0);
