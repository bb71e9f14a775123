// A static server for the built book: files under one folder, nothing else.
import { createReadStream, statSync } from 'node:fs';
import { createServer } from 'node:http';
import { extname, join, normalize, sep } from 'node:path';

const types = {
  '.html': 'text/html; charset=utf-8', '.css': 'text/css; charset=utf-8', '.js': 'text/javascript; charset=utf-8', '.mjs': 'text/javascript; charset=utf-8',
  '.json': 'application/json', '.svg': 'image/svg+xml', '.png': 'image/png', '.woff2': 'font/woff2', '.woff': 'font/woff', '.ico': 'image/x-icon',
  '.wasm': 'application/wasm', '.txt': 'text/plain; charset=utf-8', '.md': 'text/plain; charset=utf-8', '.xml': 'application/xml', '.webmanifest': 'application/manifest+json',
};

/** Serves `folder` on the first free port from `port` on; gives the address and a function that ends it. */
export async function serve(folder, { port = 0, host = '127.0.0.1' } = {}) {
  const server = createServer((request, response) => answer(folder, request, response));
  const taken = await listen(server, port, host);
  return {
    address: `http://${host === '127.0.0.1' ? 'localhost' : host}:${taken}/`,
    close: () => new Promise((done) => { server.close(done); server.closeAllConnections(); }),
  };
}

function listen(server, port, host, tries = 20) {
  return new Promise((resolve, reject) => {
    server.once('error', (error) => {
      if (error.code === 'EADDRINUSE' && port !== 0 && tries > 0) resolve(listen(server, port + 1, host, tries - 1));
      else reject(error);
    });
    server.listen(port, host, () => resolve(server.address().port));
  });
}

function answer(folder, request, response) {
  const file = fileFor(folder, request.url ?? '/');
  if (request.method !== 'GET' && request.method !== 'HEAD') return end(response, 405, 'Only reading is served here.');
  if (!file) return sendFile(join(folder, '404.html'), response, 404) || end(response, 404, 'There is no such page.');
  if (file.redirect) { response.writeHead(301, { location: file.redirect }); return response.end(); }
  return sendFile(file.path, response, 200, request.method === 'HEAD');
}

/** The file behind an address, an address to go to instead, or undefined. */
function fileFor(folder, url) {
  let path;
  try { path = decodeURIComponent(new URL(url, 'http://x').pathname); } catch { return undefined; }
  const full = normalize(join(folder, path));
  if (full !== normalize(folder) && !full.startsWith(normalize(folder) + (folder.endsWith(sep) ? '' : sep))) return undefined;
  const kind = statSync(full, { throwIfNoEntry: false });
  if (kind?.isFile()) return { path: full };
  if (!kind?.isDirectory() || !statSync(join(full, 'index.html'), { throwIfNoEntry: false })) return undefined;
  return path.endsWith('/') ? { path: join(full, 'index.html') } : { redirect: `${path}/` };
}

function sendFile(path, response, status, headOnly = false) {
  const kind = statSync(path, { throwIfNoEntry: false });
  if (!kind?.isFile()) return false;
  response.writeHead(status, { 'content-type': types[extname(path)] ?? 'application/octet-stream', 'content-length': kind.size, 'cache-control': 'no-cache' });
  if (headOnly) response.end();
  else createReadStream(path).pipe(response);
  return true;
}

function end(response, status, text) {
  response.writeHead(status, { 'content-type': 'text/plain; charset=utf-8' });
  response.end(text);
  return true;
}
