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
      setText(at.where, data.where);
      setText(at.setting, data.words);
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
    const { lead, lift, dial, does } = button.dataset;
    if (lead) chooseLead(lead);
    else if (lift) this.lift(lift);
    else if (dial) this.dial(dial);
    else if (does === 'hold') press(this.fire, { does, on: !this.data.hold });
    else if (does === 'zero') press(this.fire, { does, on: !this.data.zeroed });
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
