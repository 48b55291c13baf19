// The libFuzzer program: TQ_FUZZ_TARGET in the environment says which target.
#include "targets.hpp"
#include "toml_mutator.hpp"

#include <cstdint>
#include <cstdio>
#include <cstdlib>

extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* data, std::size_t size, std::size_t most);

namespace {
const tq::test::FuzzTarget* target = nullptr;
}

extern "C" int LLVMFuzzerInitialize(int*, char***) {
  const char* name = std::getenv("TQ_FUZZ_TARGET");
  target = tq::test::fuzz_target(name ? name : "");
  if (!target) {
    std::fprintf(stderr, "TQ_FUZZ_TARGET names no target of tests/fuzz/targets.cpp\n");
    std::exit(2);
  }
  return 0;
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  target->read({reinterpret_cast<const char*>(data), size});
  return 0;
}

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t most,
                                               unsigned seed) {
  if (target->toml && seed % 4 != 0) {
    const std::string text = tq::test::mutated_toml({reinterpret_cast<const char*>(data), size}, seed / 4);
    if (text.size() <= most) {
      std::copy(text.begin(), text.end(), data);
      return text.size();
    }
  }
  return LLVMFuzzerMutate(data, size, most);
}
