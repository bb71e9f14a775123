#!/usr/bin/python3
"""Files in many kinds, written by numpy, tifffile and Pillow: what our readers must give back.  Writes numbers_in_files.json."""
import base64, io, json, struct, zlib
import numpy as np, PIL, tifffile
from PIL import Image

a = np.arange(35).reshape(5, 7)
rng = np.random.default_rng(1)
# Long enough for LZW to fill its table more than once, smooth enough to be packed.
noisy = np.cumsum(rng.integers(-3, 4, (60, 200)), 1).astype('u1')
mixed = rng.integers(0, 256, (40, 200)).astype('u1')

def values_for(dtype):
    kind, size = dtype[-2], int(dtype[-1])
    if dtype[-2:] == 'b1': return (a % 3 == 0)
    if kind == 'u': return (a * {1: 7, 2: 1800, 4: 100_000_000, 8: 400_000_000_000}[size])
    if kind == 'i': return (a - 17) * {1: 7, 2: 1800, 4: 100_000_000, 8: 400_000_000_000}[size]
    return a / 8 - 2

out = {}
def add(name, data, values, by):
    out[name] = dict(by=by, shape=list(np.shape(values)), values=[int(x) if x == int(x) else x for x in np.asarray(values, 'f8').ravel().tolist()], base64=base64.b64encode(data).decode())

NP, TF, PL = 'numpy ' + np.__version__, 'tifffile ' + tifffile.__version__, 'Pillow ' + PIL.__version__

for dtype in ('|b1', '|u1', '|i1', *(o + t for t in ('u2', 'u4', 'u8', 'i2', 'i4', 'i8', 'f2', 'f4', 'f8') for o in '<>')):
    for order in 'CF':
        v = np.array(values_for(dtype).astype(dtype), order=order)
        f = io.BytesIO(); np.save(f, v)
        add('%s %s.npy' % (dtype, order), f.getvalue(), v, NP)
cube = np.asfortranarray(np.arange(24).reshape(2, 3, 4).astype('<u2'))
f = io.BytesIO(); np.save(f, cube); add('cube F.npy', f.getvalue(), cube, NP)
for version in ((1, 0), (2, 0), (3, 0)):
    f = io.BytesIO(); np.lib.format.write_array(f, a.astype('<f4'), version=version); add('version %d.npy' % version[0], f.getvalue(), a, NP)

def tif(name, v, **options):
    f = io.BytesIO(); tifffile.imwrite(f, v, **options); add(name, f.getvalue(), v, TF)
for t in ('u1', 'u2', 'u4', 'i1', 'i2', 'i4', 'f2', 'f4', 'f8'):
    for o in '<>':
        tif('%s%s.tif' % (o, t), values_for(o + t).astype(t), byteorder=o, rowsperstrip=2)
tif('>u2 pages.tif', np.stack([a, a + 1, a + 2]).astype('u2'), byteorder='>', photometric='minisblack')
tif('>u2 many strips.tif', np.arange(1200).reshape(300, 4).astype('u2'), byteorder='>', rowsperstrip=1)
tif('deflate f4.tif', values_for('<f4').astype('f4'), compression='zlib')
tif('deflate predictor u2.tif', values_for('<u2').astype('u2'), compression='zlib', predictor=True)
tif('tiles u2.tif', np.arange(1000).reshape(25, 40).astype('u2'), tile=(16, 16))
tif('deflate tiles u2.tif', np.arange(1000).reshape(25, 40).astype('u2'), tile=(16, 16), compression='zlib')
for name, v in (('smooth', noisy), ('noise', mixed)):
    for compression in ('tiff_lzw', 'packbits', 'tiff_adobe_deflate'):
        f = io.BytesIO(); Image.fromarray(v).save(f, 'TIFF', compression=compression); add('%s %s.tif' % (compression, name), f.getvalue(), v, PL)
g = Image.fromarray(noisy[:9, :12])
f = io.BytesIO(); Image.merge('RGB', (g, g, g)).save(f, 'TIFF'); add('grey as colour.tif', f.getvalue(), noisy[:9, :12], PL)

def png(name, image, v, **options):
    f = io.BytesIO(); image.save(f, 'PNG', **options); add(name, f.getvalue(), v, PL)
u1 = values_for('|u1').astype('u1')
png('8 bit.png', Image.fromarray(u1), u1)
png('16 bit.png', Image.fromarray(values_for('<u2').astype('u2')), values_for('<u2'))
png('1 bit.png', Image.fromarray(u1 > 99), u1 > 99)
png('4 bit palette.png', Image.fromarray(u1 // 16 * 16).convert('P', palette=Image.Palette.ADAPTIVE, colors=16), u1 // 16 * 16)
png('grey as colour.png', Image.fromarray(u1).convert('RGB'), u1)
png('grey with opaque alpha.png', Image.fromarray(u1).convert('LA'), u1)
png('colour with opaque alpha.png', Image.fromarray(u1).convert('RGBA'), u1)

# Pillow reads interlaced PNG but does not write it: seven passes by hand (PNG specification, section 8), read back by Pillow.
def interlaced(v, bits):
    h, w = v.shape
    raw = b''
    for x, y, dx, dy in ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2)):
        part = v[y::dy, x::dx].astype('>u2' if bits == 16 else 'u1')
        if part.size: raw += b''.join(b'\0' + row.tobytes() for row in part)
    chunk = lambda t, d: struct.pack('>I', len(d)) + t + d + struct.pack('>I', zlib.crc32(t + d))
    data = b'\x89PNG\r\n\x1a\n' + chunk(b'IHDR', struct.pack('>IIBBBBB', w, h, bits, 0, 0, 0, 1)) + chunk(b'IDAT', zlib.compress(raw)) + chunk(b'IEND', b'')
    assert (np.array(Image.open(io.BytesIO(data))) == v).all()
    return data
add('8 bit interlaced.png', interlaced(noisy[:19, :21], 8), noisy[:19, :21], 'by hand, read back by ' + PL)
add('16 bit interlaced.png', interlaced(noisy[:19, :21] * 251.0, 16), noisy[:19, :21] * 251.0, 'by hand, read back by ' + PL)

with open('numbers_in_files.json', 'w') as fh: fh.write('{"doc": %s, "files": {\n' % json.dumps(__doc__) + ',\n'.join('%s: %s' % (json.dumps(k), json.dumps(v, separators=(',', ':'))) for k, v in out.items()) + '\n}}\n')
print(len(out), 'files')
