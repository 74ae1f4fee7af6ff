/** Saving drawings as files. */

const kept = [
  'fill',
  'fill-opacity',
  'stroke',
  'stroke-width',
  'stroke-dasharray',
  'stroke-linecap',
  'stroke-linejoin',
  'stroke-opacity',
  'opacity',
  'font-family',
  'font-size',
  'font-weight',
  'text-anchor',
  'dominant-baseline',
  'font-variant-numeric',
  'paint-order',
];

/** Room for a title above a drawing that has none of its own [px]. */
const titleRoom = 30;
const svgSpace = 'http://www.w3.org/2000/svg';

function element(name: string, attributes: Record<string, string | number>) {
  const made = document.createElementNS(svgSpace, name);
  Object.entries(attributes).forEach(([key, value]) => made.setAttribute(key, String(value)));
  return made;
}

/** The colour of the sheet that an element stands on. */
function sheetUnder(on: Element): string {
  for (let box: Element | null = on; box; box = box.parentElement) {
    const { backgroundColor } = getComputedStyle(box);
    if (backgroundColor !== 'rgba(0, 0, 0, 0)') return backgroundColor;
  }
  return 'white';
}

interface Alone {
  text: string;
  width: number;
  height: number;
}

/**
 * A drawing as a text that stands alone: what the style sheet gives it is written into it.
 * @param title to be set above it, where the drawing has none of its own
 */
function standalone(svg: SVGSVGElement, title?: string): Alone {
  const copy = svg.cloneNode(true) as SVGSVGElement;
  const originals = [svg, ...svg.querySelectorAll('*')];
  const copies = [copy, ...copy.querySelectorAll('*')];
  originals.forEach((original, i) => {
    const style = getComputedStyle(original);
    const target = copies[i];
    if (!target) return;
    target.removeAttribute('class');
    for (const name of kept) target.setAttribute(name, style.getPropertyValue(name));
  });
  copies.filter((each) => each.hasAttribute('data-hand')).forEach((each) => each.remove());
  // What only a picture shows stands below the drawing, and tells how much room it takes.
  const below = copies.find((each) => each.hasAttribute('data-below'));
  below?.removeAttribute('display');
  const above = title ? titleRoom : 0;
  const { x, width } = svg.viewBox.baseVal;
  const y = svg.viewBox.baseVal.y - above;
  const height =
    svg.viewBox.baseVal.height + above + Number(below?.getAttribute('data-below') ?? 0);
  copy.setAttribute('xmlns', svgSpace);
  copy.setAttribute('viewBox', `${x} ${y} ${width} ${height}`);
  copy.setAttribute('width', String(width));
  copy.setAttribute('height', String(height));
  if (title) {
    const fill = getComputedStyle(svg).color;
    // A long title on a narrow sheet is set smaller, so that it stays whole.
    const size = Math.min(14, width / (0.62 * title.length));
    const words = element('text', {
      x: x + 4,
      y: y + 20,
      fill,
      'font-size': size,
      'font-weight': 650,
    });
    words.textContent = title;
    copy.prepend(words);
  }
  copy.prepend(element('rect', { x, y, width, height, fill: sheetUnder(svg) }));
  return { text: new XMLSerializer().serializeToString(copy), width, height };
}

/** Offers a file to be saved. */
export function save(name: string, content: Blob) {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(content);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

export const saveSvg = (svg: SVGSVGElement, name: string, title?: string) =>
  save(`${name}.svg`, new Blob([standalone(svg, title).text], { type: 'image/svg+xml' }));

/** Saves a drawing as a picture of twice its size in dots. */
export async function savePng(svg: SVGSVGElement, name: string, title?: string) {
  const { text, width, height } = standalone(svg, title);
  const image = new Image();
  image.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(text)}`;
  await image.decode();
  const canvas = document.createElement('canvas');
  canvas.width = width * 2;
  canvas.height = height * 2;
  canvas.getContext('2d')?.drawImage(image, 0, 0, canvas.width, canvas.height);
  const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, 'image/png'));
  if (blob) save(`${name}.png`, blob);
}

/**
 * A drawing in dots as a picture: on its sheet, under a title.
 * @param labels what holds the words that lie over it
 */
export function onSheet(
  drawn: HTMLCanvasElement,
  labels: HTMLElement,
  title: string,
): Promise<Blob | null> {
  const canvas = document.createElement('canvas');
  canvas.width = drawn.width;
  canvas.height = drawn.height;
  const pen = canvas.getContext('2d');
  if (!pen) return Promise.resolve(null);
  const from = drawn.getBoundingClientRect();
  const { color: ink, fontFamily } = getComputedStyle(drawn);
  const sheet = sheetUnder(drawn);
  pen.fillStyle = sheet;
  pen.fillRect(0, 0, drawn.width, drawn.height);
  pen.drawImage(drawn, 0, 0);
  pen.scale(drawn.width / from.width, drawn.width / from.width);
  const write = (text: string, x: number, y: number, font: string) => {
    pen.font = `${font} ${fontFamily}`;
    // A rim of the sheet keeps words readable over lines.
    pen.strokeStyle = sheet;
    pen.lineWidth = 4;
    pen.lineJoin = 'round';
    pen.strokeText(text, x, y);
    pen.fillStyle = ink;
    pen.fillText(text, x, y);
  };
  write(title, 14, 26, '650 14px');
  for (const label of labels.querySelectorAll('span')) {
    const { left, bottom, width } = label.getBoundingClientRect();
    if (width) write(label.textContent, left - from.left + 4, bottom - from.top - 5, '12px');
  }
  return new Promise((done) => canvas.toBlob(done, 'image/png'));
}
