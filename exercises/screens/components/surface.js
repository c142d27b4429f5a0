const SVG = 'http://www.w3.org/2000/svg';
const TARGET_PX = 24;
const NARROW_PX = 640;
const LEAST_SCALE = 0.8; // below it the drawing's letters are too small to read
const MOST_SCALE = 1.5;
const BESIDE_PX = 390; // what a page holds above and below a diagram

class Surface {
  constructor(root) {
    this.root = root;
    this.sheet = root.querySelector('.sheet');
    this.hint = root.querySelector('.hint');
    this.zoom = 1;
    this.shown = '';
    this.stop = '';
    this.sheet.addEventListener('click', (event) => this.click(event));
    this.sheet.addEventListener('keydown', (event) => this.key(event));
    this.sheet.addEventListener('focusin', (event) => this.focused(event));
    for (const kind of ['pointerover', 'focusin', 'pointerout', 'focusout']) {
      this.sheet.addEventListener(kind, () => requestAnimationFrame(() => this.say()));
    }
    root.querySelector('.zoom').addEventListener('click', (event) => this.zoomBy(event));
    document.addEventListener('lab:changed', () => this.mark());
    whenThemeChanges(root);
    new ResizeObserver(() => this.fit()).observe(this.sheet);
  }

  update(data, fire) {
    this.data = data;
    this.fire = fire;
    this.sheet.setAttribute('aria-label', data.label);
    this.root.querySelector('.bar').hidden = data.plain;
    this.root.classList.toggle('still', data.still === true);
    this.fit();
    if (!data.still) learn(data);
  }

  // ---- drawing and scale
  fit() {
    if (!this.data) return;
    const narrow = this.sheet.clientWidth < NARROW_PX && this.data.down;
    const picture = this.data[narrow ? 'down' : 'across'];
    const shown = `${this.data.rev}/${narrow ? 'down' : 'across'}`;
    if (this.shown !== shown) this.redraw(picture, shown);
    if (!this.svg || !this.sheet.clientWidth) return;
    const box = this.svg.viewBox.baseVal;
    const scale = this.fitted(box, narrow) * this.zoom;
    this.svg.style.width = `${Math.floor(box.width * scale)}px`;
    this.svg.style.height = `${Math.floor(box.height * scale)}px`;
    for (const circle of this.svg.querySelectorAll('.tp circle.hit')) {
      circle.setAttribute('r', (TARGET_PX + 1) / 2 / scale);
    }
    for (const path of this.svg.querySelectorAll('.wire-hit')) {
      path.setAttribute('stroke-width', TARGET_PX / scale);
    }
    this.scale = scale;
    this.mark();
  }

  // As wide as the page lets it, as high as leaves the meter and the controls in sight.
  fitted(box, narrow) {
    const wide = this.sheet.clientWidth / box.width;
    const high = narrow ? wide : (window.innerHeight - BESIDE_PX) / box.height;
    return Math.min(MOST_SCALE, Math.max(this.least, Math.min(wide, high)));
  }

  redraw(picture, shown) {
    this.sheet.innerHTML = picture;
    this.root.querySelector('style')?.remove();
    const colours = document.createElement('style');
    colours.textContent = `.sheet{${this.data.light}}[data-dark] .sheet{${this.data.dark}}`;
    this.root.prepend(colours);
    this.shown = shown;
    this.svg = this.sheet.querySelector('svg');
    this.svg.removeAttribute('width');
    this.svg.removeAttribute('height');
    this.points = [...this.svg.querySelectorAll('[data-tp]')];
    this.wires = [...this.svg.querySelectorAll('[data-wire] .wire-hit, .wire-hit[data-wire]')];
    for (const node of this.wires) node.dataset.wire ??= node.closest('[data-wire]').dataset.wire;
    for (const node of [...this.points, ...this.wires]) {
      node.said = node.getAttribute('aria-label') ?? node.dataset.tp ?? `wire ${node.dataset.wire}`;
      node.at = node.dataset.tp === undefined ? middle(node) : origin(node);
    }
    this.tags = {};
    for (const lead of ['black', 'red']) this.tags[lead] = this.addTag(lead);
    this.tags.clamp = this.addTag('clamp');
    this.least = Math.min(1, Math.max(LEAST_SCALE, TARGET_PX / nearestPair(this.points)));
  }

  addTag(kind) {
    const tag = document.createElementNS(SVG, 'g');
    tag.setAttribute('class', `tag ${kind}`);
    tag.setAttribute('aria-hidden', 'true');
    tag.innerHTML = TAGS[kind];
    this.svg.append(tag);
    return tag;
  }

  // ---- what is touched now
  clamping() {
    return lab.instrument === 'clamp' && this.wires.length > 0;
  }

  targets() {
    return this.clamping() ? this.wires : this.points;
  }

  named(name) {
    return this.points.find((node) => node.dataset.tp === name);
  }

  mark() {
    if (!this.svg) return;
    if (this.data.still) return this.rest();
    this.root.classList.toggle('clamping', this.clamping());
    this.root.dataset.active = lab.active;
    const both = lab.red && lab.red === lab.black;
    this.putTag('red', this.named(lab.red), both ? 9 : 0);
    this.putTag('black', this.named(lab.black), both ? -9 : 0);
    this.putTag('clamp', this.wires.find((node) => node.dataset.wire === lab.clamp), 0);
    for (const node of this.points) {
      const on = ['red', 'black'].filter((lead) => lab[lead] === node.dataset.tp);
      node.setAttribute('aria-label', [node.said, ...on.map((lead) => `${lead} lead here`)].join(', '));
      node.classList.toggle('touched', on.length > 0);
    }
    for (const node of this.wires) {
      const here = lab.clamp === node.dataset.wire;
      node.dataset.told = node.said + (here ? ', clamp here' : '');
      node.classList.toggle('touched', here && this.clamping());
      this.offer(node, this.clamping());
    }
    this.rove();
    this.say();
  }

  // A wire is something to press only while the clamp is in hand; else the points tell it all.
  offer(wire, offered) {
    if (offered) {
      wire.setAttribute('role', 'button');
      wire.setAttribute('aria-label', wire.dataset.told);
      wire.removeAttribute('aria-hidden');
    } else {
      wire.removeAttribute('role');
      wire.removeAttribute('aria-label');
      wire.setAttribute('aria-hidden', 'true');
    }
  }

  // A picture only to look at: no lead on it, nothing to press.
  rest() {
    for (const tag of Object.values(this.tags)) tag.style.display = 'none';
    for (const node of [...this.points, ...this.wires]) {
      for (const name of ['role', 'tabindex', 'aria-label']) node.removeAttribute(name);
    }
    this.sheet.setAttribute('role', 'img');
    this.sheet.setAttribute('tabindex', '0');  // it may be larger than its frame: arrows scroll it
    setText(this.hint, this.sheet.getAttribute('aria-label'));
  }

  putTag(kind, node, aside) {
    const tag = this.tags[kind];
    tag.style.display = node ? '' : 'none';
    if (!node) return;
    const size = 1 / Math.min(1.25, Math.max(0.7, this.scale ?? 1));
    const [x, y] = node.at;
    tag.setAttribute('transform', `translate(${x + aside} ${y}) scale(${size})`);
  }

  say() {
    if (this.data.still) return;
    const over = this.sheet.querySelector('[data-tp]:focus-visible, .wire-hit:focus-visible')
      ?? this.sheet.querySelector('[data-tp]:hover, .clamping .wire-hit:hover');
    const what = over?.getAttribute('aria-label');
    if (this.clamping()) {
      setText(this.hint, what ?? (lab.clamp ? `Clamp on ${lab.clamp}` : 'Touch a wire to put the clamp round it'));
    } else {
      setText(this.hint, what ?? `Next touch places the ${lab.active} lead`);
    }
  }

  // ---- one tab stop, arrows walk
  rove() {
    const targets = this.targets();
    const stop = targets.find((node) => this.nameOf(node) === this.stop)
      ?? targets.find((node) => this.nameOf(node) === lab[this.clamping() ? 'clamp' : lab.active])
      ?? targets[0];
    for (const node of [...this.points, ...this.wires]) {
      if (node === stop) node.setAttribute('tabindex', '0');
      else if (targets.includes(node)) node.setAttribute('tabindex', '-1');
      else node.removeAttribute('tabindex');
    }
  }

  nameOf(node) {
    return node.dataset.tp ?? node.dataset.wire;
  }

  focused(event) {
    const node = event.target.closest('[data-tp], .wire-hit');
    if (!node) return;
    this.stop = this.nameOf(node);
    this.rove();
  }

  key(event) {
    const node = event.target.closest('[data-tp], .wire-hit');
    if (!node) return;
    const way = WAYS[event.key];
    const lead = event.shiftKey ? otherLead(lab.active) : lab.active;
    if (way) this.walk(node, way);
    else if (event.key === 'Enter' || event.key === ' ') this.place(node, lead);
    else if (event.key === 'Delete' || event.key === 'Backspace') this.lift(node);
    else return;
    event.preventDefault();
  }

  walk(node, way) {
    const best = CONES.map((cone) => this.nearest(node, way, cone)).find((found) => found);
    if (!best) return;
    best.focus();
    best.scrollIntoView({ block: 'nearest', inline: 'nearest' });
  }

  // What lies straight ahead is meant rather than what is nearer but off to the side.
  nearest(node, way, widest) {
    let best = null;
    let least = Infinity;
    for (const other of this.targets()) {
      const [dx, dy] = [other.at[0] - node.at[0], other.at[1] - node.at[1]];
      const along = dx * way[0] + dy * way[1];
      const aside = Math.abs(dx * way[1] - dy * way[0]);
      const cost = along + 2.5 * aside;
      if (along > 1 && aside <= widest * along && cost < least) [best, least] = [other, cost];
    }
    return best;
  }

  lift(node) {
    const lead = [lab.active, otherLead(lab.active)].find((name) => lab[name] === node.dataset.tp);
    if (lead && !this.clamping()) placeLead(this.fire, lead, '');
  }

  click(event) {
    const node = this.hitBy(event);
    if (!node) return;
    this.stop = this.nameOf(node);
    node.focus({ preventScroll: true });
    this.place(node, event.shiftKey ? otherLead(lab.active) : lab.active);
  }

  // Hit areas may overlap: the point nearest to the pointer is meant.
  hitBy(event) {
    if (this.data.still) return null;
    if (this.clamping()) return event.target.closest('.wire-hit');
    if (!event.target.closest('[data-tp]')) return null;
    const matrix = this.svg.getScreenCTM().inverse();
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix);
    const far = (node) => Math.hypot(node.at[0] - at.x, node.at[1] - at.y);
    const near = this.points.reduce((a, b) => (far(b) < far(a) ? b : a));
    return far(near) * this.scale <= TARGET_PX ? near : event.target.closest('[data-tp]');
  }

  place(node, lead) {
    if (this.clamping()) placeClamp(this.fire, node.dataset.wire);
    else placeLead(this.fire, lead, node.dataset.tp);
  }

  zoomBy(event) {
    const way = event.target.closest('button')?.dataset.zoom;
    if (!way) return;
    const next = { in: this.zoom * 1.25, out: this.zoom / 1.25, fit: 1 }[way];
    this.zoom = Math.min(3, Math.max(0.5, next));
    this.fit();
  }
}

const WAYS = {
  ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1],
};

const CONES = [0.4, 1, Infinity]; // how far aside of straight ahead, tried in turn

// They hang below the point: letters stand above wires and parts.
const TAGS = {
  red: '<path d="M0 0 L3 12 L11 12 Z"/><circle cx="9" cy="19" r="10"/>'
    + '<path class="sign" d="M4 19 h10 M9 14 v10"/>',
  black: '<path d="M0 0 L-3 12 L-11 12 Z"/><rect x="-20" y="10" width="19" height="18" rx="2.5"/>'
    + '<path class="sign" d="M-15.5 19 h10"/>',
  clamp: '<circle r="9"/><path class="sign" d="M-3.5 4 L0 -4.5 L3.5 4 M-2.2 1.2 h4.4"/>',
};

function origin(node) {
  const [x, y] = node.getAttribute('transform').match(/-?[\d.]+(?:e-?\d+)?/g).map(Number);
  return [x, y];
}

function middle(path) {
  const point = path.getPointAtLength(path.getTotalLength() / 2);
  return [point.x, point.y];
}

function nearestPair(points) {
  let least = Infinity;
  points.forEach((a, i) => {
    for (const b of points.slice(i + 1)) {
      least = Math.min(least, Math.hypot(a.at[0] - b.at[0], a.at[1] - b.at[1]) || Infinity);
    }
  });
  return least;
}

export default function ({ data, parentElement, setTriggerValue }) {
  const root = parentElement.querySelector('.surface');
  root.surface ??= new Surface(root);
  root.surface.update(data, setTriggerValue);
}
