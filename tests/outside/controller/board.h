// The board of a controller listing, on a computer: pins, cells and time, a motor with a table on it, a person at the button, and whatever upsets them.
// Every call of the program counts; an upset comes at a call of its own. What the hardware around the chip sees is judged here, not by the program.
#pragma once
#include <cstdint>
#include <cstdio>
#include <string>
#include <vector>

struct Reset {};
struct End {};
struct Upset { long at; long lasts; }; // lasts: calls for which the interlock is open; 0 for a reset
struct Beam { long place, ticks, gap, call, tick; };

struct Bench {
  // The scenario
  std::vector<Upset> upsets;
  uint8_t garbage = 0;  // what is in a cell whose writing was cut short, added to what was to be written
  long leavesAt = -1;   // from this call on, nobody presses
  long stuckAt = -1, stuckTicks = 4000; // from this call on, the button is down for so long
  long anewAt = -1;     // after everything is quiet: interlock open, button held through a reset
  // Hardware
  uint8_t cells[256];
  long place = 37;      // microsteps from the mark
  bool requested = false, shutterOpen = false, interlock = true, edge = false;
  long call = 0, ticks = 0, quiet = 0, boots = 0, opened = -9, anewTicks = -1;
  bool half = false;
  size_t next = 0;
  long closesAt = -1;
  // What happened
  std::vector<Beam> beams, cut;
  std::vector<long> recorded; // calls after which a record was whole
  std::string violations, said;
  long beamTicks = 0, lastBeam = -1, openWithRequest = 0;
  long up = 0, down = 0;
  bool acknowledged = false;

  Bench() { for (auto &cell : cells) cell = 0xff; }
  void wrong(const char *what) { if (violations.size() < 300) { violations += what; violations += "; "; } }
  bool beam() const { return requested && interlock; }
  void endOfBeam(bool whole) {
    const long gap = lastBeam < 0 ? -1 : ticks - beamTicks - lastBeam;
    // Closed again before the program could see it, the chain lets the beam through for a few calls more: one exposure cut short, not two.
    if (whole || beamTicks > 0) (whole ? beams : cut).push_back({place, beamTicks, gap, call, ticks - beamTicks});
    lastBeam = ticks;
    beamTicks = 0;
  }
  void setInterlock(bool closed) {
    if (!closed && requested) endOfBeam(beamTicks >= WANTED_TICKS);
    if (!closed) { edge = true; acknowledged = false; up = down = 0; opened = call; place += 11; } // somebody came in and touched the table
    interlock = closed;
  }
  void reset() {
    if (beam()) endOfBeam(beamTicks >= WANTED_TICKS);
    requested = shutterOpen = acknowledged = false;
    edge = true; // a chip may find its flag set after a reset
    up = down = 0;
    place -= 5; // the motor jumps when its current comes back
    boots++;
    throw Reset();
  }
  // Every call of the program comes through here. torn: the cell that it is writing.
  void count(int torn = -1, uint8_t value = 0) {
    call++;
    if (requested && !interlock && ++openWithRequest > 2) wrong("a request stood while the interlock was open");
    if (!requested) openWithRequest = 0;
    if (call == closesAt) setInterlock(true);
    if (next < upsets.size() && call >= upsets[next].at) {
      const Upset upset = upsets[next++];
      if (upset.lasts > 0) { setInterlock(false); closesAt = call + upset.lasts; }
      else {
        if (torn >= 0) cells[torn] = value + garbage;
        reset();
      }
    }
  }
  bool pressed() const {
    if (anewTicks >= 0) return anewTicks < 3200;
    if (stuckAt >= 0 && call >= stuckAt && stuckTicks > 0) return true;
    return !(leavesAt >= 0 && call >= leavesAt) && ticks % 160 >= 100;
  }
  bool tick() {
    count();
    half = !half;
    if (half) return false;
    ticks++;
    if (beam()) {
      beamTicks++;
      if (!shutterOpen) wrong("the beam was on and the shutter closed");
      if (beamTicks > WANTED_TICKS) wrong("an exposure was too long");
    }
    // The bench's own idea of when a person has let go and pressed: 50 ms each, less one, for the program looks a few calls later.
    if (!interlock) up = down = 0;
    else if (pressed()) { if (up >= 49 && ++down >= 49) acknowledged = true; }
    else { if (down > 0) up = 0; down = 0; up++; }
    if (anewTicks >= 0 && ++anewTicks == 3300) { setInterlock(true); anewTicks = -1; quiet = 0; }
    if (stuckAt >= 0 && call >= stuckAt && stuckTicks > 0) { stuckTicks--; quiet = 0; }
    if (++quiet > 700 && anewTicks < 0) {
      if (anewAt < 0) throw End();
      anewAt = -1;
      anewTicks = 0;
      quiet = 0;
      setInterlock(false);
      reset();
    }
    return true;
  }
  void active(const char *what) {
    quiet = 0;
    if (!acknowledged && call > opened + 2) wrong(what); // two calls of the program, a few microseconds, to notice
  }
};

extern Bench *bench;

static void begin() {}
static bool tick() { return bench->tick(); }
static bool interlockClosed() { bench->count(); return bench->interlock && !bench->edge; }
static void acknowledge() { bench->count(); bench->edge = false; }
static bool buttonPressed() { bench->count(); return bench->pressed(); }
static bool atMark() { bench->count(); return ((bench->place % PER_TURN) + PER_TURN) % PER_TURN < 7; }
static void lamp(bool) { bench->count(); }
static void request(bool on) {
  const bool wasOpen = !bench->interlock;
  if (on) bench->active("a request was made that nobody had acknowledged");
  bench->count();
  if (on && wasOpen) bench->wrong("a request was made while the interlock was open");
  if (!on && bench->beam()) bench->endOfBeam(bench->beamTicks >= WANTED_TICKS);
  bench->requested = on;
}
static void shutter(bool open) { bench->count(); bench->shutterOpen = open; }
static void stepPulse(bool forward) {
  bench->active("the table moved and nobody had acknowledged");
  bench->count();
  if (bench->requested) bench->wrong("the table moved during an exposure");
  bench->place += forward ? 1 : -1;
}
static uint8_t readCell(uint8_t at) { bench->count(); return bench->cells[at]; }
static void writeCell(uint8_t at, uint8_t value) {
  bench->count(at, value);
  bench->cells[at] = value;
  if (at % 8 == 7 && value != 0) bench->recorded.push_back(bench->call);
}
static void put(char letter) { bench->count(); bench->said += letter == '\n' ? '|' : letter; }
