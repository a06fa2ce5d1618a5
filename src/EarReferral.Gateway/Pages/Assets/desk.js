// Asks for the page again from time to time and exchanges the part that lives. Without it everything works by loading the page anew.
(() => {
  const live = document.getElementById('live');
  const said = document.getElementById('live-said');
  if (!live || !said) return;
  const every = Number(live.dataset.every || 15) * 1000;
  const busy = () => document.hidden || live.contains(document.activeElement);
  const ask = async () => {
    if (busy()) return;
    try {
      const answer = await fetch(location.href, { credentials: 'same-origin', headers: { 'X-Desk-Live': '1' } });
      if (!answer.ok) throw new Error(String(answer.status));
      const next = new DOMParser().parseFromString(await answer.text(), 'text/html').getElementById('live');
      if (next && !busy()) live.replaceChildren(...next.childNodes);
      said.textContent = 'Up to date at ' + new Date().toLocaleTimeString('en-GB');
      said.className = '';
    } catch {
      said.textContent = 'Not up to date: the gateway does not answer. What you see may be old.';
      said.className = 'alarm';
    }
  };
  setInterval(ask, every);
})();
