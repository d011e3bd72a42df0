// A browser that asks nothing of the network of its own, with its files in a folder.

import { chromium } from "playwright-core";

export function opened(executablePath, folder) {
  return chromium.launchPersistentContext(`${folder}/browser`, {
    executablePath,
    args: [
      "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
      "--disable-background-networking", "--disable-component-update", "--disable-sync",
    ],
  });
}
