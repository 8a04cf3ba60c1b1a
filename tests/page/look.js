// SPDX-License-Identifier: Apache-2.0
// Functions with which the tests inspect a page. Each returns plain data.
const visible = element => element.checkVisibility({visibilityProperty: true}) && element.getClientRects().length > 0;

function overlaps(svg) {
  const boxes = [...svg.querySelectorAll('text')].filter(visible).map(t => {
    const r = t.getBoundingClientRect();
    return {words: t.textContent, l: r.left + 1, r: r.right - 1, t: r.top + 3, b: r.bottom - 3};
  });
  const out = [];
  for (let i = 0; i < boxes.length; ++i)
    for (let j = 0; j < i; ++j) {
      const a = boxes[i], b = boxes[j];
      if (a.l < b.r && b.l < a.r && a.t < b.b && b.t < a.b) out.push(a.words + ' | ' + b.words);
    }
  return out;
}

// Texts of a picture that run over its edge, which cuts them.
function cutTexts(svg) {
  const edge = svg.getBoundingClientRect();
  return [...svg.querySelectorAll('text')].filter(visible).filter(t => {
    const r = t.getBoundingClientRect();
    return r.left < edge.left - 1 || r.right > edge.right + 1 || r.top < edge.top - 1 || r.bottom > edge.bottom + 1;
  }).map(t => t.textContent);
}

// Parts of the first side that reach below its foot on paper, and a picture that is too small to be read there.
function sideOverflow() {
  const side = document.getElementById('verdict'), foot = side.getBoundingClientRect().bottom;
  const out = [...side.children].filter(e => e.getBoundingClientRect().bottom > foot + 2).map(e => e.className + ' too low');
  for (const svg of side.querySelectorAll('figure svg')) {
    const box = svg.getBoundingClientRect(), whole = box.width * svg.viewBox.baseVal.height / svg.viewBox.baseVal.width;
    if (box.height < Math.min(130, whole - 1)) out.push(svg.getAttribute('class') + ' too small');
  }
  return out;
}

// Reads the curve of a plot back with its own axes: pairs of time and value in the units of the axes.
function readPlot(svg) {
  const field = svg.querySelector('.field').getBBox();
  const ys = [], xs = [];
  for (const t of svg.querySelectorAll(':scope > text')) {
    const value = Number(t.textContent), x = Number(t.getAttribute('x')), y = Number(t.getAttribute('y'));
    if (Number.isNaN(value) || t.textContent === '') continue;
    if (t.getAttribute('text-anchor') === 'end' && x < field.x) ys.push([y - 5, value]);
    if (t.getAttribute('text-anchor') === 'middle' && y > field.y + field.height) xs.push([x, value]);
  }
  const between = (ticks, at) => {
    ticks.sort((a, b) => a[0] - b[0]);
    let i = 1;
    while (i < ticks.length - 1 && ticks[i][0] < at) ++i;
    const [a, b] = [ticks[i - 1], ticks[i]];
    return a[1] + (at - a[0]) / (b[0] - a[0]) * (b[1] - a[1]);
  };
  const path = svg.querySelector('.course').getAttribute('d');
  const points = path.slice(1).split('L').map(p => p.split(' ').map(Number));
  return {points: points.map(([x, y]) => [between(xs, x), between(ys, y)]),
          step: Math.abs(ys[1][1] - ys[0][1]), yTicks: ys.length, xTicks: xs.length, label: svg.getAttribute('aria-label'),
          words: svg.textContent, bands: svg.querySelectorAll('.band').length};
}

function luminance([r, g, b]) {
  const c = [r, g, b].map(v => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
  return 0.2126 * c[0] + 0.7152 * c[1] + 0.0722 * c[2];
}

// WCAG 2.2, 1.4.3: the lowest contrast of all visible text, with its element.
function worstContrast() {
  const rgb = text => (text.match(/[\d.]+/g) || []).map(Number);
  let worst = {ratio: 21, what: ''};
  for (const element of document.querySelectorAll('body *')) {
    const own = [...element.childNodes].some(n => n.nodeType === 3 && n.data.trim() !== '');
    if (!own || !visible(element)) continue;
    const style = getComputedStyle(element);
    const ink = rgb(element instanceof SVGElement ? style.fill : style.color);
    let paper = rgb(getComputedStyle(document.documentElement).backgroundColor);
    for (let e = element; e && !(e instanceof SVGElement); e = e.parentElement) {
      const c = rgb(getComputedStyle(e).backgroundColor);
      if (c.length === 3 || c[3] > 0) { paper = c; break; }
    }
    const [a, b] = [luminance(ink), luminance(paper)].sort((x, y) => y - x);
    const ratio = (a + 0.05) / (b + 0.05);
    if (ratio < worst.ratio) worst = {ratio, what: element.outerHTML.slice(0, 120)};
  }
  return worst;
}

function structure() {
  const levels = [...document.querySelectorAll('h1,h2,h3,h4,h5,h6')].map(h => Number(h.tagName[1]));
  const ids = [...document.querySelectorAll('[id]')].map(e => e.id);
  const links = [...document.querySelectorAll('a')].map(a => a.getAttribute('href'));
  return {
    lang: document.documentElement.lang, title: document.title, levels,
    skipped: levels.some((level, i) => i > 0 && level > levels[i - 1] + 1),
    doubled: ids.filter((id, i) => ids.indexOf(id) !== i),
    dead: links.filter(href => !href.startsWith('#') || !document.getElementById(href.slice(1))),
    landmarks: ['header', 'main', 'footer', 'nav'].map(name => document.querySelectorAll(name).length),
    nameless: [...document.querySelectorAll('svg')].filter(s => !s.hasAttribute('aria-label') && s.getAttribute('aria-hidden') !== 'true').length,
    headless: [...document.querySelectorAll('table')].filter(t => !t.caption || !t.querySelector('thead th[scope=col]')).length,
    fetched: performance.getEntriesByType('resource').map(e => e.name).filter(n => !n.startsWith('data:')),
    policy: document.querySelector('meta[http-equiv=Content-Security-Policy]').content,
    paper: getComputedStyle(document.body).maxWidth, wanted: '1120px',
    inline: [...document.querySelectorAll('body *')].filter(e => [...e.attributes].some(a => a.name === 'style' || a.name.startsWith('on'))).length,
    scripts: document.scripts.length, hit: window.hit === undefined ? 0 : 1,
  };
}

function width() {
  const room = document.documentElement.clientWidth;
  const scrolls = e => e && (getComputedStyle(e).overflowX === 'auto' || scrolls(e.parentElement));
  const out = [];
  for (const e of document.querySelectorAll('body *')) {
    if (!visible(e) || (e.ownerSVGElement && e.tagName !== 'svg')) continue;
    const r = e.getBoundingClientRect();
    if ((r.right > room + 1 || r.left < -1) && !scrolls(e)) out.push(e.tagName + ' ' + e.className + ' ' + Math.round(r.right));
  }
  return {room, page: document.documentElement.scrollWidth, out: out.slice(0, 5)};
}

// Tables whose last column is cut on paper, where nothing scrolls.
function cutTables() {
  const room = document.documentElement.clientWidth;
  return [...document.querySelectorAll('table')].filter(visible).filter(t => {
    const edge = Math.min(room, t.parentElement.getBoundingClientRect().right);
    return [...t.rows].some(r => [...r.cells].some(c => {
      const range = document.createRange();
      range.selectNodeContents(c);
      return range.getBoundingClientRect().right > edge + 1;
    }));
  }).map(t => t.caption.textContent);
}

// Texts of pictures that were shortened; reading them takes the file.
function shortened() {
  return [...document.querySelectorAll('svg.site text,svg.side text')].map(t => t.textContent).filter(t => /(\.\.\.|\u2026)$/.test(t));
}

// The pictures of the first side on paper: how far each stands from its words, and the height of its smallest text.
function firstPictures() {
  return [...document.querySelectorAll('#verdict figure')].map(f => {
    const svg = f.querySelector('svg'), box = svg.getBoundingClientRect();
    return {gap: f.querySelector('figcaption').getBoundingClientRect().top - box.bottom,
            text: Math.min(...[...svg.querySelectorAll('text')].map(t => t.getBoundingClientRect().height))};
  });
}

// Flames of side views of rooms (which have a clip path; an apparatus may be lit) that stand in the room, though nothing says where an ignition source is.
function flamesInRooms() {
  return [...document.querySelectorAll('svg.side')].flatMap(svg => {
    const walls = [...svg.querySelectorAll('rect.wall')], flames = [...svg.querySelectorAll('.flame')];
    if (walls.length === 0 || !svg.querySelector('clipPath')) return [];
    const floor = Math.max(...walls.map(w => w.getBoundingClientRect().bottom));
    return flames.filter(f => f.getBoundingClientRect().top < floor).map(() => svg.getAttribute('aria-label'));
  });
}

// What is told twice: curves drawn again, and names that several spaces share.
function repeated() {
  const twice = list => list.filter((one, i) => list.indexOf(one) !== i);
  const curves = [...document.querySelectorAll('svg.plot')].map(s => s.getAttribute('aria-label') + s.querySelector('.course').getAttribute('d'));
  const spaces = [...document.querySelectorAll('#inventory table')].slice(0, 1).flatMap(t => [...t.tBodies[0].rows].map(r => r.cells[0].textContent));
  return {curves: twice(curves), spaces: twice(spaces)};
}
