// Opens the pages that the program writes, in the system's Chromium, and listens to what goes wrong.
import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import puppeteer from "puppeteer-core";

export const root = fileURLToPath(new URL("../..", import.meta.url));
export const program = process.env.THINQUENCH ?? join(root, "build/thinquench");
const chromium = process.env.CHROMIUM ?? "/usr/bin/chromium";
if (!existsSync(program)) throw new Error(`no program at ${program}; build it or name it in THINQUENCH`);

/** Computes a case of cases/ (or a path) into a folder of its own; gives the addresses of its pages. */
export function harden(caseFile) {
  const folder = mkdtempSync(join(tmpdir(), "thinquench-page-"));
  const path = caseFile.includes("/") ? caseFile : join(root, "cases", `${caseFile}.toml`);
  execFileSync(program, ["harden", path, "--output", folder], { stdio: "ignore" });
  const stem = path.replace(/^.*\//, "").replace(/\.toml$/, "");
  return {
    folder,
    file: join(folder, `${stem}.html`),
    report: pathToFileURL(join(folder, `${stem}.html`)).href,
    sheet: pathToFileURL(join(folder, `${stem}_sheet.html`)).href,
    remove: () => rmSync(folder, { recursive: true }),
  };
}

export const launch = () =>
  puppeteer.launch({ executablePath: chromium, args: ["--no-sandbox", "--disable-gpu"], timeout: 120000 });

/** A page that keeps every complaint: console, exceptions, policy, requests to anything but its own file. */
export async function open(browser, address, { width = 1200, height = 900, dark = false, scripts = true, touch = false } = {}) {
  const page = await browser.newPage();
  page.complaints = [];
  page.on("console", (m) => page.complaints.push(`console ${m.type()}: ${m.text()}`));
  page.on("pageerror", (e) => page.complaints.push(`exception: ${e.message}`));
  page.on("request", (r) => r.url() === address || page.complaints.push(`request: ${r.url()}`));
  await page.evaluateOnNewDocument(() => {
    globalThis.violations = [];
    document.addEventListener("securitypolicyviolation", (e) => globalThis.violations.push(e.violatedDirective));
  });
  await page.setJavaScriptEnabled(scripts);
  await page.setViewport({ width, height, hasTouch: touch, isMobile: touch });
  await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: dark ? "dark" : "light" }]);
  await page.goto(address, { waitUntil: "load" });
  return page;
}
