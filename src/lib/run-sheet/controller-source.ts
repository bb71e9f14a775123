/** What controllerListing puts into the program: texts, numbers in digits, times in ms. */
export interface ControllerConstants {
  /** Comment lines above the program, and what its comments say of rests and of cooling. */
  readonly caution: string; readonly restNote: string; readonly coolNote: string;
  readonly title: string; readonly summary: string; readonly sense: string;
  readonly exposures: string; readonly each: string;
  readonly expose: string; readonly rest: string; readonly settle: string; readonly lead: string; readonly step: string; readonly warn: string;
  readonly wide: 'uint32_t' | 'uint64_t'; readonly above: string; readonly below: string; readonly search: string; readonly plan: string;
}

/** The program of controllerListing around its constants. */
export const controllerSource = (c: ControllerConstants): string => `// Table, camera and exposure requests for: ${c.title}
// ${c.summary}. Written from its plan.
//   avr-g++ -mmcu=atmega328p -DF_CPU=16000000UL -Os -std=c++11 -Wall -Wextra controller.cpp -o controller.elf
//
${c.caution}
// A person starts and resumes: let go of BUTTON, then press it, with the interlock closed. After the interlock has opened, and after every reset, nothing
// moves and nothing is asked for until then. To forget the place and begin at the first exposure: interlock open, hold BUTTON down, reset, hold for 3 s.
// The table should turn ${c.sense}, seen from above; if it does not, exchange the two wires of one coil, without power. MARK reads high at its zero.
#include <stdint.h>
// ---- From the plan. Times in ms, positions in microsteps from the mark.
const uint32_t EXPOSURES = ${c.exposures};
const uint32_t EXPOSURES_A_VIEW = ${c.each};
const uint32_t EXPOSE = ${c.expose};
const uint32_t REST = ${c.rest}; // after every exposure, also one that was cut short, and before the first. ${c.restNote}
const uint32_t SETTLE = ${c.settle}; // from the last step until the object stands still
const uint32_t LEAD = ${c.lead}; // the shutter is open so long before the exposure, and again after it
const uint32_t STEP = ${c.step}; // from one microstep to the next
const uint32_t WARN = ${c.warn}; // the lamp is on so long before the first exposure after a person's press
const uint32_t PRESS = 50; // a button that bounces is not yet pressed
const uint32_t SEARCH = ${c.search}; // a whole turn and a tenth: by then the mark has come
const uint16_t PLAN = ${c.plan}; // tells this plan's record from another's
typedef ${c.wide} Wide;

// View v is at v * ${c.above}/${c.below} microsteps, rounded. Each is rounded by itself, from the start, so errors never add up.
static uint32_t positionOf(uint32_t view) { return (uint32_t)((2 * (Wide)view * ${c.above}u + ${c.below}u) / (2 * (Wide)${c.below}u)); }

// ---- The board. Everything that touches hardware is in these few lines.
#ifdef __AVR__
#include <avr/eeprom.h>
#include <avr/io.h>
#include <avr/wdt.h>
#include <util/delay.h>
static void setPin(uint8_t bit, bool high) { if (high) PORTB |= _BV(bit); else PORTB &= ~_BV(bit); }
static void request(bool on) { setPin(PB0, on); }
static void shutter(bool open) { setPin(PB1, open); }
static void lamp(bool on) { setPin(PB5, on); }
// Closed now, and not open for a moment either since it was last acknowledged: INT0's flag keeps a falling edge, though no interrupt is ever enabled.
static bool interlockClosed() { return (PIND & _BV(PD2)) && !(EIFR & _BV(INTF0)); }
static void acknowledge() { EIFR = _BV(INTF0); }
static bool buttonPressed() { return !(PIND & _BV(PD3)); }
static bool atMark() { return PIND & _BV(PD4); }
static void stepPulse(bool forward) {
  if (forward) PORTD |= _BV(PD6); else PORTD &= ~_BV(PD6);
  _delay_us(5); PORTD |= _BV(PD5);
  _delay_us(5); PORTD &= ~_BV(PD5);
}
// True once every ms. Asked all the time; if it is not, for a quarter of a second, the watchdog resets the chip, and every request falls.
static bool tick() {
  wdt_reset();
  const bool passed = TIFR0 & _BV(OCF0A);
  if (passed) TIFR0 = _BV(OCF0A);
  return passed;
}
static uint8_t readCell(uint8_t at) { return eeprom_read_byte((const uint8_t *)(uint16_t)at); }
static void writeCell(uint8_t at, uint8_t value) { eeprom_update_byte((uint8_t *)(uint16_t)at, value); eeprom_busy_wait(); }
static void put(char letter) { while (!(UCSR0A & _BV(UDRE0))) {} UDR0 = letter; wdt_reset(); }
static void begin() {
  wdt_enable(WDTO_250MS);
  PORTB = 0;
  DDRB = _BV(PB0) | _BV(PB1) | _BV(PB5);
  PORTD = _BV(PD3);                      // BUTTON to ground, with a pull-up
  DDRD = _BV(PD5) | _BV(PD6) | _BV(PD1); // STEP, DIRECTION, serial
  EICRA = _BV(ISC01);                    // INT0: falling edges
  TCCR0A = _BV(WGM01);
  OCR0A = F_CPU / 64 / 1000 - 1;
  TCCR0B = _BV(CS01) | _BV(CS00);
  UBRR0 = F_CPU / 16 / 9600 - 1;
  UCSR0B = _BV(TXEN0);
}
#else
#include "board.h" // the same functions for another chip, or for a computer to test this program on
#endif

// Words about every exposure, by the serial line, 9600 baud.
static void say(const char *words, uint32_t number) {
  char digits[10];
  uint8_t n = 0;
  do digits[n++] = '0' + number % 10; while (number /= 10);
  while (*words) put(*words++);
  while (n) put(digits[--n]);
  put('\\n');
}

// ---- The place in the scan, kept through a reset. Two slots of 8 cells, written in turn: 0 counts the writings, 1-2 plan, 3-6 exposures taken, 7 check.
// The check is wiped first and written last, and is never 0: a reset while one slot is being written leaves the other. Cell 0 suffers most: unused.
static uint8_t checkOf(const uint8_t *cells) {
  uint8_t check = 0xa7;
  for (uint8_t i = 0; i < 7; i++) {
    check ^= cells[i];
    for (uint8_t bit = 0; bit < 8; bit++) check = check & 0x80 ? (check << 1) ^ 0x07 : check << 1;
  }
  return check ? check : 1;
}
static uint32_t takenIn(const uint8_t *cells) { return cells[3] | (uint32_t)cells[4] << 8 | (uint32_t)cells[5] << 16 | (uint32_t)cells[6] << 24; }
static bool readSlot(uint8_t slot, uint8_t *cells) {
  for (uint8_t i = 0; i < 8; i++) cells[i] = readCell(8 + 8 * slot + i);
  return cells[7] == checkOf(cells) && cells[1] == (PLAN & 0xff) && cells[2] == PLAN >> 8 && takenIn(cells) <= EXPOSURES;
}
// The newest good record; all zero where there is none. Returns its slot, or the second one, so that the next writing goes to the other.
static uint8_t recall(uint8_t *cells) {
  uint8_t second[8];
  const bool first = readSlot(0, cells), other = readSlot(1, second);
  if (first && !(other && (int8_t)(second[0] - cells[0]) > 0)) return 0;
  for (uint8_t i = 0; i < 8; i++) cells[i] = other ? second[i] : 0;
  return 1;
}
static void remember(uint32_t taken) {
  uint8_t cells[8];
  const uint8_t at = recall(cells) == 0 ? 16 : 8;
  cells[0]++;
  cells[1] = PLAN & 0xff;
  cells[2] = PLAN >> 8;
  for (uint8_t i = 0; i < 4; i++) cells[3 + i] = taken >> (8 * i);
  writeCell(at + 7, 0);
  for (uint8_t i = 0; i < 7; i++) writeCell(at + i, cells[i]);
  writeCell(at + 7, checkOf(cells));
}

// ---- Waiting. The interlock is looked at every few microseconds all the while; as soon as it reads open, the request is down. False says so.
static bool hold(uint32_t ms) {
  while (interlockClosed()) {
    if (ms == 0) return true;
    if (tick()) ms--;
  }
  request(false);
  shutter(false);
  return false;
}
// Silent until a person has let go of the button and then pressed it, all with the interlock closed.
static void waitForPerson() {
  uint32_t up = 0, down = 0;
  while (down < PRESS) {
    const bool now = tick();
    if (!interlockClosed()) {
      acknowledge();
      up = down = 0;
    } else if (now && buttonPressed()) {
      down = up >= PRESS ? down + 1 : 0;
    } else if (now) {
      up = down > 0 ? 1 : up + 1;
      down = 0;
    }
  }
}

// ---- Moving. Steps are counted from the mark, which is always come upon turning forwards: so play in the gear does not matter.
static uint32_t position;
static bool step(bool forward) { stepPulse(forward); return hold(STEP); }
static bool findMark() {
  for (uint32_t n = 0; atMark(); n++) if (n == SEARCH || !step(false)) return false;
  for (uint32_t n = 0; !atMark(); n++) if (n == SEARCH || !step(true)) return false;
  position = 0;
  return true;
}
static bool turnTo(uint32_t target) {
  for (; position < target; position++) if (!step(true)) return false;
  return true;
}

// One exposure; true if it was whole. One that was cut short is taken again: mark its photograph as lost. A reset after an exposure and before its
// record, in a fraction of a second, has it taken twice: use the later one.${c.coolNote}
static bool expose() {
  shutter(true);
  bool whole = hold(LEAD);
  if (whole) {
    request(true); // asks; the chain outside decides
    whole = hold(EXPOSE);
    request(false);
    hold(LEAD);
  }
  shutter(false);
  return whole;
}

int main() {
  begin();
  uint8_t cells[8];
  recall(cells);
  uint32_t taken = takenIn(cells);
  uint32_t held = 0;
  for (acknowledge(); held < 3000 && buttonPressed() && !interlockClosed(); acknowledge()) if (tick()) held++;
  if (held == 3000) remember(taken = 0);
  while (taken < EXPOSURES) {
    say("waits before exposure ", taken + 1);
    waitForPerson();
    lamp(true);
    // Whoever opened a door may have touched the table: the mark is looked for each time.
    if (hold(WARN) && findMark())
      while (taken < EXPOSURES && hold(REST) && turnTo(positionOf(taken / EXPOSURES_A_VIEW)) && hold(SETTLE) && expose()) {
        remember(++taken);
        say("took exposure ", taken);
      }
    lamp(false);
  }
  say("all taken: ", EXPOSURES);
  for (;;) tick();
}
`;
