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
];

/** A drawing as a text that stands alone: what the style sheet gives it is written into it. */
export function standalone(svg: SVGSVGElement): string {
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
  copies
    .filter((element) => element.hasAttribute('data-hand'))
    .forEach((element) => element.remove());
  const { width, height } = svg.viewBox.baseVal;
  copy.setAttribute('xmlns', 'http://www.w3.org/2000/svg');
  copy.setAttribute('width', String(width));
  copy.setAttribute('height', String(height));
  const paper = document.createElementNS('http://www.w3.org/2000/svg', 'rect');
  const { x, y } = svg.viewBox.baseVal;
  Object.entries({ x, y, width, height, fill: paperColour() }).forEach(([key, value]) =>
    paper.setAttribute(key, String(value)),
  );
  copy.prepend(paper);
  return new XMLSerializer().serializeToString(copy);
}

const paperColour = () => getComputedStyle(document.body).backgroundColor;

/** Offers a file to be saved. */
export function save(name: string, content: Blob) {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(content);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

export const saveSvg = (svg: SVGSVGElement, name: string) =>
  save(`${name}.svg`, new Blob([standalone(svg)], { type: 'image/svg+xml' }));

/** Saves a drawing as a picture of twice its size in dots. */
export async function savePng(svg: SVGSVGElement, name: string) {
  const { width, height } = svg.viewBox.baseVal;
  const image = new Image();
  image.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(standalone(svg))}`;
  await image.decode();
  const canvas = document.createElement('canvas');
  canvas.width = width * 2;
  canvas.height = height * 2;
  canvas.getContext('2d')?.drawImage(image, 0, 0, canvas.width, canvas.height);
  const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, 'image/png'));
  if (blob) save(`${name}.png`, blob);
}
