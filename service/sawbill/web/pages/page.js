"use strict";
// Pages do all they are for without this. It keeps ticks, and has a quote follow its form as one changes it.

// What it says stands in the page, in the language of that.
const WORDS = document.currentScript.dataset;

// What was ticked is kept in this browser, for each quote by its address.
const kept = (box) => `tick ${location.pathname}${location.search} ${box.dataset.tick}`;

function showTicks() {
  try {
    for (const box of document.querySelectorAll("input[data-tick]")) box.checked = localStorage.getItem(kept(box)) !== null;
  } catch { /* a browser may keep nothing; ticks still tick */ }
}

document.addEventListener("change", ({ target }) => {
  if (!target.dataset.tick) return;
  try {
    if (target.checked) localStorage.setItem(kept(target), "");
    else localStorage.removeItem(kept(target));
  } catch { /* as above */ }
});
showTicks();

// The quotes that were looked at last are offered where some are set side by side.
const SEEN = 12;
const seen = () => JSON.parse(localStorage.getItem("quotes seen") ?? "[]");

function remember() {
  if (!document.querySelector("[data-total]") || !location.pathname.endsWith("/quote.html")) return;
  try {
    const here = location.pathname + location.search;
    const others = seen().filter(([address]) => address !== here);
    localStorage.setItem("quotes seen", JSON.stringify([[here, document.title], ...others].slice(0, SEEN)));
  } catch { /* as above */ }
}

try {
  for (const [address, title] of seen()) {
    document.getElementById("seen")?.append(Object.assign(document.createElement("option"), { value: address, label: title }));
  }
} catch { /* as above */ }
remember();
addEventListener("pagehide", remember); // as it was changed to, too

// The quote follows its form: what was filled in is sent as the button would send it, and what came back is put in place.
const PAUSE = 600; // after the last change [ms]
let sent = null;
let waiting = 0;

function put(page, names) {
  for (const name of names) {
    const here = document.querySelector(`[data-part="${name}"]`);
    const there = page.querySelector(`[data-part="${name}"]`);
    if (here && there) here.replaceWith(document.adoptNode(there));
  }
}

function putQuestions(page) {
  const open = [...document.querySelectorAll("details[data-group][open]")].map((each) => each.dataset.group);
  const at = document.activeElement && document.activeElement.id;
  put(page, ["questions"]);
  for (const each of document.querySelectorAll("details[data-group]")) each.open ||= open.includes(each.dataset.group);
  if (at) document.getElementById(at)?.focus();
}

async function follow(form, all) {
  if (sent) sent.abort();
  const mine = (sent = new AbortController());
  const told = document.getElementById("follow");
  told.textContent = WORDS.reckoning;
  try {
    const answer = await fetch(form.action, {
      method: "POST", body: new FormData(form), headers: { Accept: "text/html" }, signal: mine.signal,
    });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (!page.querySelector('[data-part="result"]')) {
      told.textContent = `${page.title ? `${page.title}.` : WORDS.silent} ${WORDS.again}`;
      return;
    }
    put(page, ["standing", "result"]);
    if (all) putQuestions(page);
    else put(page, [...form.querySelectorAll("[data-part^=fault-]")].map((each) => each.dataset.part));
    for (const each of form.querySelectorAll("[aria-describedby]")) {
      const fault = document.getElementById("fault-" + each.name);
      if (fault && fault.textContent.trim()) each.setAttribute("aria-invalid", "true");
      else each.removeAttribute("aria-invalid");
    }
    if (answer.ok) history.replaceState(null, "", answer.url);
    showTicks();
    offerModels();
    document.title = page.title;
    told.textContent = page.querySelector("[data-total]")?.dataset.total ?? WORDS.mistakes;
  } catch {
    if (!mine.signal.aborted) told.textContent = `${WORDS.silent} ${WORDS.again}`;
  }
}

const form = document.querySelector("form[data-follow]");
if (form) {
  form.addEventListener("change", (event) => {
    const all = ["price_book", "units", "prices_file"].includes(event.target.name);
    clearTimeout(waiting);
    waiting = setTimeout(() => follow(form, all), all ? 0 : PAUSE);
  });
}

// The furniture as a model to turn, drawn here from the boxes of its frame; the picture stays where this cannot be.
const SHADER = `attribute vec3 at, out_; uniform vec4 turn; uniform vec3 size; varying float tone;
vec3 seen(vec3 v) {
  float right = turn.x * v.x + turn.y * v.y, away = turn.x * v.y - turn.y * v.x;
  return vec3(right, turn.z * v.z + turn.w * away, turn.z * away - turn.w * v.z);
}
void main() {
  gl_Position = vec4(seen(at) * size, 1.0);
  vec3 face = seen(out_);
  tone = dot(out_, out_) == 0.0 ? 0.0 : 0.62 + 0.2 * face.y - 0.18 * face.z;
}`;
const INK = "precision mediump float; varying float tone; uniform vec3 wood; void main() { gl_FragColor = vec4(wood * tone, 1.0); }";
const BOX = [0, 1, 2].flatMap((axis) => [0, 1].map((end) => {
  const [u, v] = [(axis + 1) % 3, (axis + 2) % 3];
  const corner = (a, b) => { const c = []; c[axis] = end; c[u] = a; c[v] = b; return c; };
  const out = [0, 0, 0];
  out[axis] = end ? 1 : -1;
  return { out, corners: [corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1)] };
}));

const along = ({ x, y, z }) => [x, y, z];

function verticesOf(parts, middle) {
  const faces = [], edges = [];
  for (const { corner, size } of parts) {
    for (const { out, corners } of BOX) {
      const four = corners.map((c) => c.map((end, i) => corner[i] + end * size[i] - middle[i]));
      for (const i of [0, 1, 2, 0, 2, 3]) faces.push(...four[i], ...out);
      for (const i of [0, 1, 1, 2, 2, 3, 3, 0]) edges.push(...four[i], 0, 0, 0);
    }
  }
  return { data: new Float32Array([...faces, ...edges]), faces: faces.length / 6, edges: edges.length / 6 };
}

function programOf(gl) {
  const program = gl.createProgram();
  for (const [kind, text] of [[gl.VERTEX_SHADER, SHADER], [gl.FRAGMENT_SHADER, INK]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  gl.useProgram(program);
  return program;
}

function show(canvas, gl, parts) {
  const least = [0, 1, 2].map((i) => Math.min(...parts.map((part) => part.corner[i])));
  const most = [0, 1, 2].map((i) => Math.max(...parts.map((part) => part.corner[i] + part.size[i])));
  const { data, faces, edges } = verticesOf(parts, least.map((low, i) => (low + most[i]) / 2));
  const reach = Math.hypot(...most.map((high, i) => high - least[i])) / 2;
  const program = programOf(gl);
  gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
  gl.bufferData(gl.ARRAY_BUFFER, data, gl.STATIC_DRAW);
  for (const [name, from] of [["at", 0], ["out_", 12]]) {
    const place = gl.getAttribLocation(program, name);
    gl.enableVertexAttribArray(place);
    gl.vertexAttribPointer(place, 3, gl.FLOAT, false, 24, from);
  }
  gl.enable(gl.DEPTH_TEST);
  gl.enable(gl.POLYGON_OFFSET_FILL);
  gl.polygonOffset(1, 1);
  const uniform = (name) => gl.getUniformLocation(program, name);
  let [around, above] = [0.6, 0.5];
  const draw = () => {
    canvas.width = canvas.clientWidth * devicePixelRatio;
    canvas.height = canvas.clientHeight * devicePixelRatio;
    gl.viewport(0, 0, canvas.width, canvas.height);
    const wide = canvas.width / canvas.height;
    gl.uniform4f(uniform("turn"), Math.cos(around), Math.sin(around), Math.cos(above), Math.sin(above));
    gl.uniform3f(uniform("size"), 1 / reach / wide, 1 / reach, 0.5 / reach);
    gl.uniform3f(uniform("wood"), 1.0, 0.95, 0.85);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.drawArrays(gl.TRIANGLES, 0, faces);
    gl.drawArrays(gl.LINES, faces, edges);
  };
  const turn = (right, up) => {
    around += right;
    above = Math.max(-1.5, Math.min(1.5, above + up));
    draw();
  };
  const STEP = 0.12; // of one press of a key [rad]
  const KEYS = { ArrowLeft: [STEP, 0], ArrowRight: [-STEP, 0], ArrowUp: [0, STEP], ArrowDown: [0, -STEP] };
  canvas.addEventListener("keydown", (event) => {
    if (!KEYS[event.key]) return;
    turn(...KEYS[event.key]);
    event.preventDefault();
  });
  canvas.addEventListener("pointerdown", (event) => canvas.setPointerCapture(event.pointerId));
  canvas.addEventListener("pointermove", (event) => event.buttons && turn(-event.movementX / 150, event.movementY / 150));
  addEventListener("resize", draw);
  draw();
}

document.addEventListener("click", async ({ target }) => {
  const figure = target.closest("[data-turn]")?.closest("figure");
  if (!figure) return;
  const canvas = Object.assign(document.createElement("canvas"), { tabIndex: 0, className: "model" });
  canvas.setAttribute("role", "img");
  canvas.setAttribute("aria-label", WORDS.model);
  try {
    const { parts } = await (await fetch(figure.dataset.frame)).json();
    const gl = canvas.getContext("webgl", { antialias: true, alpha: true });
    if (!gl || !parts) throw new Error("nothing to show, or nothing to show it with");
    figure.querySelector("svg").replaceWith(canvas);
    show(canvas, gl, parts.map(({ corner, size }) => ({ corner: along(corner), size: along(size) })));
    target.replaceWith(WORDS.turning);
    canvas.focus();
  } catch {
    target.replaceWith(WORDS.flat);
  }
});

function offerModels() {
  for (const figure of document.querySelectorAll("figure[data-frame]:not(:has(canvas, [data-turn]))")) {
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: WORDS.turn });
    button.dataset.turn = "";
    figure.append(button);
  }
}
offerModels();
