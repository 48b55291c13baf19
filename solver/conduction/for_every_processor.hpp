// Compiles a function of loops once for each width of vectors that processors of one kind have and calls the
// widest that the processor at hand can run. The results differ by nothing where sums keep their order and
// products are not contracted.
#pragma once

#include <atomic>
#include <string>
#include <vector>

namespace tq::conduction {

/// What the loops are compiled for, from the least on. `plain` is what every processor of the architecture
/// has (x86-64: SSE2, aarch64: NEON), with vectors of two doubles; `avx2` has four, `avx512` eight.
enum class Processor { plain = 1, avx2 = 2, avx512 = 3 };

/// The widest that this machine runs, from what it says about itself.
Processor widest_processor();
/// All that this machine runs, the least first.
std::vector<Processor> processors();
/// Runs loops compiled for at most `at_most` from now on (for tests and benchmarks); returns what was taken.
Processor use_processor(Processor at_most);
/// "plain", "avx2", "avx512".
std::string name_of(Processor processor);

namespace detail {
extern std::atomic<int> processor; ///< 0 until first asked
Processor choose_processor();
} // namespace detail

/// What the loops run on: the widest, unless the build (TQ_PROCESSOR) or use_processor() wants less.
inline Processor processor() {
  const int chosen = detail::processor.load(std::memory_order_relaxed);
  return chosen > 0 ? static_cast<Processor>(chosen) : detail::choose_processor();
}

} // namespace tq::conduction

/// Head of a function `type name parameters` that calls itself with `arguments` for the processor at hand;
/// its body may use the constant `lanes`, doubles in a vector. The clones are chosen here and not by
/// overloads with attributes, which bind callers in other files to the default without a word.
#if (defined(__GNUC__) || defined(__clang__)) && defined(__x86_64__)
#define TQ_FOR_EVERY_PROCESSOR(type, name, parameters, arguments)                                            \
  template <int lanes>                                                                                       \
  [[gnu::always_inline]] inline type name##_loops parameters;                                                \
  __attribute__((target(                                                                                     \
      "avx512f,avx512bw,avx512cd,avx512dq,avx512vl,avx2,bmi,bmi2"))) static type name##_avx512 parameters {  \
    return name##_loops<8> arguments;                                                                        \
  }                                                                                                          \
  __attribute__((target("avx2,bmi,bmi2"))) static type name##_avx2 parameters {                              \
    return name##_loops<4> arguments;                                                                        \
  }                                                                                                          \
  __attribute__((noinline)) static type name##_plain parameters { return name##_loops<2> arguments; }        \
  type name parameters {                                                                                     \
    switch (::tq::conduction::processor()) {                                                                 \
    case ::tq::conduction::Processor::avx512:                                                                \
      return name##_avx512 arguments;                                                                        \
    case ::tq::conduction::Processor::avx2:                                                                  \
      return name##_avx2 arguments;                                                                          \
    default:                                                                                                 \
      return name##_plain arguments;                                                                         \
    }                                                                                                        \
  }                                                                                                          \
  template <int lanes>                                                                                       \
  [[gnu::always_inline]] inline type name##_loops parameters
#else
#define TQ_FOR_EVERY_PROCESSOR(type, name, parameters, arguments)                                            \
  template <int lanes>                                                                                       \
  type name##_loops parameters;                                                                              \
  type name parameters { return name##_loops<2> arguments; }                                                 \
  template <int lanes>                                                                                       \
  type name##_loops parameters
#endif
