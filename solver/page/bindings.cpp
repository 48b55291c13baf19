// What the module of the page exports.
#include "page/bench.hpp"

#include <emscripten.h>

extern "C" EMSCRIPTEN_KEEPALIVE const char* tq_ask(const char* what, const char* asked) {
  static tq::page::Bench bench;
  static std::string answer; // stays until the next call
  answer = bench.ask(what, asked);
  return answer.c_str();
}
