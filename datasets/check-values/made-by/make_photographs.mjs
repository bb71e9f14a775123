// Small photographs of every kind that is read, written and read back by sharp (libvips, mozjpeg, libpng): what our reader must give.
// Run in the project's folder: node datasets/check-values/made-by/make_photographs.mjs  (sharp comes with astro)
import { writeFileSync } from 'node:fs';
import sharp from 'sharp';

const [width, height] = [29, 18];
const colour = Buffer.alloc(3 * width * height);
for (let y = 0; y < height; y++) {
  for (let x = 0; x < width; x++) {
    const glow = 60 + 110 * Math.exp(-((x - 12) ** 2 + (y - 7) ** 2) / 90) + 2 * y;
    colour.set([0.25 * glow, glow, 0.4 * glow + x].map(Math.round), 3 * (y * width + x));
  }
}
const picture = () => sharp(colour, { raw: { width, height, channels: 3 } });

const made = {
  'baseline, colour': picture().jpeg({ quality: 95, chromaSubsampling: '4:4:4' }),
  'progressive, colour': picture().jpeg({ quality: 90, chromaSubsampling: '4:4:4', progressive: true, optimiseScans: true }),
  'baseline, colour at half resolution': picture().jpeg({ quality: 95, chromaSubsampling: '4:2:0' }),
  'grey': picture().greyscale().jpeg({ quality: 95 }),
  'grey, progressive': picture().greyscale().jpeg({ quality: 80, progressive: true }),
  'png, 8 bits': picture().png(),
  'png, 8 bits, palette': picture().greyscale().png({ palette: true, colours: 64 }),
  'tiff, deflate': picture().tiff({ compression: 'deflate', predictor: 'none' }),
};
for (let orientation = 1; orientation <= 8; orientation++) made[`orientation ${orientation}`] = picture().withMetadata({ orientation }).jpeg({ quality: 95, chromaSubsampling: '4:4:4' });

const files = {};
for (const [name, pipeline] of Object.entries(made)) {
  const bytes = await pipeline.toBuffer();
  const { data, info } = await sharp(bytes).rotate().toColourspace('srgb').removeAlpha().raw().toBuffer({ resolveWithObject: true });
  const green = Array.from({ length: info.width * info.height }, (_, i) => data[info.channels * i + Math.min(1, info.channels - 1)]);
  files[name] = { width: info.width, height: info.height, green: Buffer.from(green).toString('base64'), base64: bytes.toString('base64') };
}
const { sharp: version, vips, mozjpeg, png } = sharp.versions;
writeFileSync(new URL('../photographs.json', import.meta.url), `${JSON.stringify({ doc: 'photographs, and the green of each pixel upright, 0 to 255', by: { sharp: version, vips, mozjpeg, png }, files }, null, 1)}\n`);
