class Meter {
  constructor(root) {
    this.root = root;
    this.window = root.querySelector('.window');
    this.at = Object.fromEntries(
      [...root.querySelectorAll('[data-at]')].map((node) => [node.dataset.at, node]),
    );
    root.addEventListener('click', (event) => this.click(event));
    this.at.dial.addEventListener('keydown', (event) => this.turn(event));
    document.addEventListener('lab:changed', () => this.mark());
    root.addEventListener('keydown', (event) => this.escape(event));
    this.at.ask.addEventListener('submit', (event) => this.submit(event));
    whenThemeChanges(root);
    setInterval(() => keepSending(this.fire), 1000);
  }

  update(data, fire) {
    this.data = data;
    this.fire = fire;
    const offered = data.instruments.map((one) => one.name).join();
    if (this.offered !== offered) this.offer(data.instruments, offered);
    this.list(this.at.cautions, data.cautions);
    learn(data);
    this.question();
  }

  offer(instruments, offered) {
    this.offered = offered;
    this.at.dial.replaceChildren(...instruments.map((one) => {
      const button = document.createElement('button');
      button.type = 'button';
      button.dataset.dial = one.name;
      button.title = one.title;
      button.setAttribute('role', 'radio');
      button.setAttribute('aria-label', one.title);
      button.textContent = one.label;
      return button;
    }));
  }

  // A reading that waits for an expectation asks for it; the answer leads back to where one was.
  question() {
    const { data, at } = this;
    const asked = data.choices.length ? [data.where, data.words, data.instrument].join('\n') : '';
    if (asked === this.asked) return;
    this.asked = asked;
    at.figure.value = '';
    at.figure.parentElement.hidden = !data.takes_figure;
    at.choices.replaceChildren(...data.choices.map((words) => {
      const button = document.createElement('button');
      button.type = 'button';
      button.dataset.expect = words;
      button.textContent = words;
      return button;
    }));
    at.ask.hidden = !asked;
    const here = focusedNode();
    if (asked) this.uncover(here);
    if (asked && here?.matches('[data-tp]:focus-visible, .wire-hit:focus-visible')) {
      this.cameFrom = here;
      at.choices.firstChild.focus();
    } else if (!asked) this.goBack();
  }

  // The question makes the docked meter higher: what was touched is to stay in sight.
  uncover(node) {
    if (!node?.matches('[data-tp], .wire-hit')) return;
    if (getComputedStyle(this.root).position !== 'fixed') return;
    const hidden = node.getBoundingClientRect().bottom + 40 - this.root.getBoundingClientRect().top;
    if (hidden > 0) document.querySelector('[data-testid=stMain]')?.scrollBy(0, hidden);
  }

  goBack() {
    if (this.cameFrom?.isConnected) this.cameFrom.focus();
    this.cameFrom = null;
  }

  submit(event) {
    event.preventDefault();
    const words = this.at.figure.value.trim();
    if (words) this.expect(words);
    else this.at.figure.focus();
  }

  expect(words) {
    if (lab.waiting.length) return; // what the answer is to may be about to change
    press(this.fire, { does: 'expect', words });
  }

  list(node, sentences) {
    const now = sentences.join('\n');
    if (node.dataset.now === now) return;
    node.dataset.now = now;
    node.replaceChildren(...sentences.map((sentence) => {
      const line = document.createElement('p');
      line.textContent = sentence;
      return line;
    }));
  }

  mark() {
    if (!this.data) return;
    const { data, at } = this;
    const busy = lab.waiting.length > 0;
    this.window.classList.toggle('busy', busy);
    const late = 'The lab does not answer. Your press is kept here and sent again.';
    const note = isLate() ? late : data.note;
    this.list(at.note, note ? [note] : []);
    if (!busy) {
      setText(at.display, data.display);
      setText(at.unit, data.unit);
      this.window.classList.toggle('long', !data.blank && data.display.length > 11);
      at.expectedLine.hidden = !data.expected;
      setText(at.expected, data.expected);
      setText(at.where, data.where);
      setText(at.setting, data.words);
      at.sign.hidden = !data.battery_low || lab.instrument === 'lamp';
      setText(at.batteryState, data.battery_low ? 'low-battery sign on' : 'no low-battery sign');
      setText(at.fuseState, data.own.fuse ?? 'not tested');
      setText(at.leadsState, data.own.leads ?? 'not tested');
      setText(at.tone, data.beeps ? '♪ beep' : '');
      this.window.classList.toggle('blank', data.blank);
    }
    this.root.classList.toggle('clamping', lab.instrument === 'clamp');
    for (const lead of ['red', 'black']) this.markLead(lead);
    setText(at.clampOn, lab.clamp || 'not on a wire');
    for (const button of at.dial.children) {
      const on = button.dataset.dial === lab.instrument;
      button.setAttribute('aria-checked', on);
      button.tabIndex = on || (!lab.instrument && button === at.dial.firstChild) ? 0 : -1;
    }
    at.hold.setAttribute('aria-pressed', data.hold);
    at.zero.setAttribute('aria-pressed', data.zeroed);
    at.again.disabled = data.blank;
    at.zero.hidden = !data.zeroes.includes(lab.instrument);
  }

  markLead(lead) {
    const button = this.root.querySelector(`[data-lead=${lead}]`);
    const where = lab[lead];
    setText(button.querySelector('.on'), where || 'not placed');
    button.setAttribute('aria-pressed', lab.active === lead);
    const lift = this.root.querySelector(`[data-lift=${lead}]`);
    lift.hidden = !where;
    button.parentElement.classList.toggle('chosen', lab.active === lead);
  }

  click(event) {
    const button = event.target.closest('button');
    if (!button) return;
    const { lead, lift, dial, does, part, expect } = button.dataset;
    if (expect) this.expect(expect);
    else if (button.type === 'submit') return;
    else if (lead) chooseLead(lead);
    else if (lift) this.lift(lift);
    else if (dial) this.dial(dial);
    else if (does === 'hold') press(this.fire, { does, on: !this.data.hold });
    else if (does === 'zero') press(this.fire, { does, on: !this.data.zeroed });
    else if (does === 'own') this.open(this.at.own.hidden);
    else if (does === 'again') press(this.fire, { does });
    else press(this.fire, { does, part });
  }

  open(on) {
    this.at.own.hidden = !on;
    this.at.ownKey.setAttribute('aria-expanded', on);
    this.at.ownKey.setAttribute('aria-pressed', on);
  }

  escape(event) {
    if (event.key !== 'Escape') return;
    if (event.target.closest('.ask')) return this.goBack();
    if (this.at.own.hidden) return;
    this.open(false);
    this.at.ownKey.focus();
  }

  lift(lead) {
    lab.active = lead;
    placeLead(this.fire, lead, '');
    this.root.querySelector(`[data-lead=${lead}]`).focus();
  }

  dial(name) {
    if (name === lab.instrument) return;
    lab.instrument = name;
    press(this.fire, { does: 'dial', instrument: name });
  }

  turn(event) {
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (!step) return;
    event.preventDefault();
    const buttons = [...this.at.dial.children];
    const here = buttons.indexOf(event.target);
    const next = buttons[(here + step + buttons.length) % buttons.length];
    this.dial(next.dataset.dial);
    next.focus();
  }
}

export default function ({ data, parentElement, setTriggerValue }) {
  const root = parentElement.querySelector('.meter');
  root.meter ??= new Meter(root);
  root.meter.update(data, setTriggerValue);
}
