export default function ({ data, parentElement }) {
  const root = parentElement.querySelector('.status');
  const now = data.lines.join('\n');
  if (root.dataset.now === now) return;
  root.dataset.now = now;
  root.replaceChildren(...data.lines.map((text) => {
    const line = document.createElement('p');
    line.textContent = text;
    return line;
  }));
}
