/* Runs the listing, as avr-gcc made it, on a simulated ATmega328P at 16 MHz, with a table, a mark and a person around it.
 *   chip FILE PER_TURN SCENARIO TIMES      SCENARIO: plain, or open, reset (in the second exposure), glitch (just after it)
 * Prints one line of JSON: exposures as [place, µs], those cut short, how long REQUEST stood after the interlock opened (µs), presses, resets. */
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>
#include <simavr/avr_ioport.h>
#include <simavr/avr_uart.h>
#include <simavr/sim_io.h>
#include <simavr/sim_irq.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static avr_t *avr;
static avr_irq_t *interlockPin, *buttonPin, *markPin;
static long perTurn, wanted, place = 37, presses = 0, mayPress = 1;
static int forward = 0, requested = 0, shutterOpen = 0, closed = 1, unasked = 0, shut = 0;
static uint64_t began, opened, answered;
static long whole[64][2], cut[64][2];
static int wholes = 0, cuts = 0;

static uint64_t us(void) { return avr->cycle / 16; }
static void showMark(void) { avr_raise_irq(markPin, ((place % perTurn) + perTurn) % perTurn < 7); }
static void onStep(avr_irq_t *irq, uint32_t value, void *param) {
  (void)irq; (void)param;
  static uint32_t was = 0;
  if (value && !was) {
    place += forward ? 1 : -1;
    if (presses == 0 || requested) unasked++;
    showMark();
  }
  was = value;
}
static void onDirection(avr_irq_t *irq, uint32_t value, void *param) { (void)irq; (void)param; forward = value; }
static void onShutter(avr_irq_t *irq, uint32_t value, void *param) { (void)irq; (void)param; shutterOpen = value; }
static void onRequest(avr_irq_t *irq, uint32_t value, void *param) {
  (void)irq; (void)param;
  if ((int)value == requested) return;
  requested = value;
  if (value) {
    began = us();
    if (!closed || presses == 0) unasked++;
    if (!shutterOpen) shut++;
    return;
  }
  if (!closed && !answered) answered = us();
  const long lasted = us() - began;
  if (lasted > wanted - 100) { whole[wholes][0] = place; whole[wholes++][1] = lasted; }
  else { cut[cuts][0] = place; cut[cuts++][1] = lasted; }
}
/* EIFR, a flag that is cleared by writing 1 to it (data sheet of the ATmega328P, section 13.2.3, from memory): simavr 1.6 stores what is written. */
static void onFlags(avr_t *chip, avr_io_addr_t address, uint8_t value, void *param) { (void)param; chip->data[address] &= ~value; }
static void interlock(int on) { closed = on; avr_raise_irq(interlockPin, on); }
static int runFor(uint64_t time) {
  const uint64_t end = avr->cycle + time * 16;
  while (avr->cycle < end) {
    const int state = avr_run(avr);
    if (state == cpu_Done || state == cpu_Crashed) return 0;
    if (wholes > 60 || cuts > 60) return 0;
  }
  return 1;
}
static void press(void) {
  if (!mayPress) return;
  runFor(80000);
  presses++;
  avr_raise_irq(buttonPin, 0);
  runFor(80000);
  avr_raise_irq(buttonPin, 1);
}
static void print(const char *name, long (*list)[2], int n) {
  printf("\"%s\":[", name);
  for (int i = 0; i < n; i++) printf("%s[%ld,%ld]", i ? "," : "", list[i][0], list[i][1]);
  printf("],");
}

int main(int argc, char **argv) {
  if (argc != 5) return 2;
  elf_firmware_t firmware;
  memset(&firmware, 0, sizeof firmware);
  if (elf_read_firmware(argv[1], &firmware)) return 2;
  perTurn = atol(argv[2]);
  wanted = atol(argv[4]);
  const char *scenario = argv[3];
  avr = avr_make_mcu_by_name("atmega328p");
  avr_init(avr);
  avr->frequency = 16000000;
  avr_load_firmware(avr, &firmware);
  uint32_t flags = 0; /* no words on standard output, no naps */
  avr_ioctl(avr, AVR_IOCTL_UART_SET_FLAGS('0'), &flags);
  interlockPin = avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('D'), 2);
  buttonPin = avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('D'), 3);
  markPin = avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('D'), 4);
  avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('D'), 5), onStep, 0);
  avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('D'), 6), onDirection, 0);
  avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('B'), 0), onRequest, 0);
  avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('B'), 1), onShutter, 0);
  avr_register_io_write(avr, 0x3c, onFlags, 0);
  interlock(1);
  avr_raise_irq(buttonPin, 1);
  showMark();
  runFor(300000);
  const int beforePress = wholes + cuts;
  press();
  int ended = 0, still = 0;
  if (strcmp(scenario, "plain")) {
    while (!(wholes == 1 && requested) && runFor(50)) {}
    runFor(wanted / 2);
    if (!strcmp(scenario, "glitch")) {
      while (requested && runFor(50)) {}
      runFor(1000); /* while it keeps its place */
      interlock(0);
      runFor(20);
      interlock(1);
    } else if (!strcmp(scenario, "open")) {
      opened = us();
      interlock(0);
      runFor(100000);
      interlock(1);
    } else if (!strcmp(scenario, "reset")) {
      avr_reset(avr);
      if (requested) onRequest(0, 0, 0); /* in reset the pins float, and their resistors pull them down */
      /* simavr forgets the levels of its inputs with a reset, and tells them again only when they change. */
      interlock(0);
      interlock(1);
      avr_raise_irq(buttonPin, 0);
      avr_raise_irq(buttonPin, 1);
      avr_raise_irq(markPin, !markPin->value);
      place -= 5;
      showMark();
    } else return 2;
    /* Nothing may happen until somebody presses. */
    presses = 0;
    runFor(500000);
    still = wholes;
    press();
  }
  for (int n = 0; n < 40 && runFor(100000); n++) {}
  ended = wholes;
  press();
  runFor(300000);
  printf("{");
  print("whole", whole, wholes);
  print("cut", cut, cuts);
  printf("\"beforePress\":%d,\"stillAt\":%d,\"answered\":%ld,\"unasked\":%d,\"shut\":%d,\"afterEnd\":%d}\n", beforePress, still, answered ? (long)(answered - opened) : -1, unasked, shut, wholes - ended);
  return 0;
}
