// Fails when all scripts together are over 200 kB compressed.
import { readFileSync, readdirSync } from 'node:fs';
import { gzipSync } from 'node:zlib';

const folder = new URL('./dist/assets/', import.meta.url);
const sizes = readdirSync(folder).filter((f) => f.endsWith('.js')).map((f) => gzipSync(readFileSync(new URL(f, folder)), { level: 9 }).length);
const kB = sizes.reduce((a, b) => a + b, 0) / 1000;
console.log(`all scripts together: ${kB.toFixed(1)} kB compressed, of at most 200`);
if (kB > 200) process.exit(1);
