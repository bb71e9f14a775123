// Runs the listing (-DLISTING="…") through scenarios, one a line on standard input, and prints what happened, one line of JSON each:
//   reset CALL   open CALL LASTS   garbage VALUE   leaves CALL   stuck CALL   anew
#include "board.h"
#include <iostream>
#include <sstream>

Bench *bench;
#define main controllerMain
#include LISTING
#undef main

static void print(const char *name, const std::vector<Beam> &beams) {
  std::printf("\"%s\":[", name);
  for (size_t i = 0; i < beams.size(); i++) std::printf("%s[%ld,%ld,%ld,%ld,%ld]", i ? "," : "", beams[i].place, beams[i].ticks, beams[i].gap, beams[i].call, beams[i].tick);
  std::printf("],");
}

int main() {
  std::string line;
  while (std::getline(std::cin, line)) {
    Bench one;
    bench = &one;
    std::istringstream words(line);
    std::string word;
    long a, b;
    while (words >> word) {
      if (word == "reset" && words >> a) one.upsets.push_back({a, 0});
      else if (word == "open" && words >> a >> b) one.upsets.push_back({a, b});
      else if (word == "garbage" && words >> a) one.garbage = (uint8_t)a;
      else if (word == "leaves" && words >> a) one.leavesAt = a;
      else if (word == "stuck" && words >> a) one.stuckAt = a;
      else if (word == "anew") one.anewAt = 1;
      else return 2;
    }
    for (bool on = true; on;) {
      try { controllerMain(); on = false; }
      catch (const Reset &) {}
      catch (const End &) { on = false; }
    }
    std::printf("{");
    print("beams", one.beams);
    print("cut", one.cut);
    std::printf("\"recorded\":[");
    for (size_t i = 0; i < one.recorded.size(); i++) std::printf("%s%ld", i ? "," : "", one.recorded[i]);
    std::printf("],\"calls\":%ld,\"boots\":%ld,\"opened\":%ld,\"violations\":\"%s\",\"said\":\"%s\"}\n", one.call, one.boots, one.opened, one.violations.c_str(), one.said.c_str());
  }
}
