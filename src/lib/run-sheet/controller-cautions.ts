import type { ControllerConstants } from './controller-source.ts';

type Cautions = Pick<ControllerConstants, 'caution' | 'restNote' | 'coolNote'>;

/** What the comments of a program for a plan with an X-ray tube warn of. */
export const tubeCautions: Cautions = {
  caution: `// CAUTION. X-rays, high voltage and a hot tube injure and kill, and this program protects nobody from them. Nothing here says that a set-up is safe.
// - It never switches a tube. REQUEST only asks. An AND outside this chip, of relays or logic made for it, joins REQUEST with the interlock chain
//   (doors, lid, key, emergency stop). The chain by itself cuts the tube's supply, and once open stays so until a person resets it: no program can.
// - REQUEST has no other way to the tube. A timer outside this chip ends every exposure that lasts too long, for a program can hang.
// - INTERLOCK is a copy of the chain's state, to be read: high while the chain is closed. It has a resistor to ground, so that a broken wire reads open.
// - REQUEST and SHUTTER have resistors to ground, so that a chip without power, or in reset, asks for nothing.
// - The warning light is lit by the tube's supply. LAMP is one more lamp, not that one.
// - High voltage stays far from this chip and its wires; optocouplers or relays stand between. Set the fuses for brown-out detection at 4.3 V.
// - Try it with a lamp in place of the tube and the tube's supply unplugged. Whether a tube may be run at all is for local law and a licensed person to say.`,
  restNote: 'Never shorten it: the tube needs it.',
  coolNote: ' Before BUTTON is pressed the tube cools for as long as the run sheet says.',
};

/** The same for a plan with a lamp: the program is the same, and what hangs on its pins is not. */
export const lampCautions: Cautions = {
  caution: `// For VISIBLE LIGHT alone: its plan has a lamp and no tube. No pin of this program may be connected to an X-ray tube or its supply.
// - SHUTTER holds the camera's release for as long as an exposure lasts, through an optocoupler: the camera stands on bulb, or on a time of its own.
// - REQUEST is high for the same time. Leave it open, or let it light an LED panel of low voltage through a driver made for it: no mains, no laser.
// - INTERLOCK is a stop switch: high while the run may go on, with a resistor to ground, so that a broken wire stops it.
// - Mains and liquid stay far from this chip and its wires. LAMP is a small light that says that a run is on.`,
  restNote: 'For the camera, and whatever else the plan waits for.',
  coolNote: '',
};
