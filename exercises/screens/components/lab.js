// Shared by the surfaces and the meter: what the leads touch, and the presses on their way.
// A press waits here until the server names its key: one that a rerun swallowed goes again.
const lab = (window.millraceLab ??= { bench: null, waiting: [] });

const RESEND_MS = 2500;
const LATE_MS = 5000;

function fresh(bench) {
  Object.assign(lab, {
    bench, seq: -1, red: '', black: '', clamp: '', instrument: '', active: 'red', waiting: [],
    sentAt: 0, since: 0,
  });
}

const LEADS = { red: { name: 'Red', sign: '+' }, black: { name: 'Black', sign: '−' } };

function otherLead(lead) {
  return lead === 'red' ? 'black' : 'red';
}

function newKey() {
  // randomUUID is missing where a page comes over plain http from another machine.
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

function changed() {
  document.dispatchEvent(new CustomEvent('lab:changed'));
}

// What the server says holds, unless it is older than what we know or presses are under way.
function learn(data) {
  if (lab.bench !== data.bench) {
    fresh(data.bench);
    lab.active = data.red && !data.black ? 'black' : 'red';
  }
  const done = new Set(data.done);
  lab.waiting = lab.waiting.filter((press) => !done.has(press.key));
  if (data.seq < lab.seq || lab.waiting.length) return changed();
  const { seq, red, black, clamp, instrument } = data;
  Object.assign(lab, { seq, red, black, clamp, instrument });
  changed();
}

function send(fire) {
  lab.sentAt = Date.now();
  fire('press', { bench: lab.bench, waiting: lab.waiting });
}

function press(fire, what) {
  if (!lab.waiting.length) lab.since = Date.now();
  lab.waiting.push({ key: newKey(), ...what });
  send(fire);
  changed();
}

// A press that nobody answered is sent again, also to a server that had to start anew.
function keepSending(fire) {
  if (!lab.waiting.length) return;
  if (Date.now() - lab.sentAt > RESEND_MS) send(fire);
  if (isLate()) changed();
}

function isLate() {
  return lab.waiting.length > 0 && Date.now() - lab.since > LATE_MS;
}

function placeLead(fire, lead, point) {
  const was = lab[lead];
  if (was === point) return;
  lab[lead] = point;
  if (point && lead === 'red' && !lab.black) lab.active = 'black';
  else if (point && !was) lab.active = 'red'; // black stays on its ground, red walks
  press(fire, { does: point ? 'place' : 'lift', lead, point });
}

function placeClamp(fire, wire) {
  if (lab.clamp === wire) return;
  lab.clamp = wire;
  press(fire, { does: 'clamp', wire });
}

function chooseLead(lead) {
  lab.active = lead;
  changed();
}

// The theme is chosen in the browser, so the ground is looked at rather than told.
function isDark(element) {
  const probe = element.ownerDocument.createElement('i');
  probe.style.color = getComputedStyle(element).getPropertyValue('--st-background-color');
  element.append(probe);
  const [r, g, b] = (getComputedStyle(probe).color.match(/[\d.]+/g) ?? [255, 255, 255]).map(Number);
  probe.remove();
  return 0.299 * r + 0.587 * g + 0.114 * b < 128;
}

function whenThemeChanges(root) {
  const look = () => root.toggleAttribute('data-dark', isDark(root));
  document.addEventListener('lab:changed', look);
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => setTimeout(look, 150));
  look();
}

function focusedNode() {
  let node = document.activeElement;
  while (node?.shadowRoot?.activeElement) node = node.shadowRoot.activeElement;
  return node;
}

function setText(node, text) {
  if (node.textContent !== text) node.textContent = text;
}
