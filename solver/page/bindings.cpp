// What the module of the page exports.
#include "page/bench.hpp"

#include <emscripten.h>

// What is known before all is: the worker hands it on at once.
EM_JS(void, tq_meanwhile, (const char* answer), {
  if (Module.meanwhile)
    Module.meanwhile(UTF8ToString(answer));
});

extern "C" EMSCRIPTEN_KEEPALIVE const char* tq_ask(const char* what, const char* asked) {
  static tq::page::Bench bench([](const std::string& known) { tq_meanwhile(known.c_str()); });
  static std::string answer; // stays until the next call
  answer = bench.ask(what, asked);
  return answer.c_str();
}
