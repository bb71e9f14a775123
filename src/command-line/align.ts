import { BadInput } from '../lib/index.ts';
import type { Command } from './command.ts';

export const align: Command = {
  name: 'align',
  summary: 'axis offset, tilt, likely lost frames (not built yet)',
  usage: '<scan.json> [--json]',
  details: 'Will find where the rotation axis falls on the detector. Until then set detector.axisOffset in the scan file by trying a few.',
  files: ['The scan file'],
  options: [],
  run: async () => {
    throw new BadInput('align is not built yet: set detector.axisOffset in the scan file by hand, and keep the value whose slice is sharpest.');
  },
};
