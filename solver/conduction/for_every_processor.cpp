#include "conduction/for_every_processor.hpp"

#include <algorithm>

namespace tq::conduction {

namespace detail {

std::atomic<int> processor{0};

Processor choose_processor() {
#if defined(TQ_PROCESSOR)
  return use_processor(Processor::TQ_PROCESSOR);
#else
  return use_processor(Processor::avx512);
#endif
}

} // namespace detail

Processor widest_processor() {
#if (defined(__GNUC__) || defined(__clang__)) && defined(__x86_64__)
  __builtin_cpu_init();
  const bool avx2 = __builtin_cpu_supports("avx2") != 0 && __builtin_cpu_supports("bmi") != 0 &&
                    __builtin_cpu_supports("bmi2") != 0;
  const bool avx512 = __builtin_cpu_supports("avx512f") != 0 && __builtin_cpu_supports("avx512bw") != 0 &&
                      __builtin_cpu_supports("avx512cd") != 0 && __builtin_cpu_supports("avx512dq") != 0 &&
                      __builtin_cpu_supports("avx512vl") != 0;
  return avx2 && avx512 ? Processor::avx512 : avx2 ? Processor::avx2 : Processor::plain;
#else
  return Processor::plain;
#endif
}

std::vector<Processor> processors() {
  std::vector<Processor> all;
  for (const Processor p : {Processor::plain, Processor::avx2, Processor::avx512})
    if (p <= widest_processor())
      all.push_back(p);
  return all;
}

Processor use_processor(Processor at_most) {
  const Processor taken = std::min(at_most, widest_processor());
  detail::processor.store(static_cast<int>(taken), std::memory_order_relaxed);
  return taken;
}

std::string name_of(Processor processor) {
  return processor == Processor::avx512 ? "avx512" : processor == Processor::avx2 ? "avx2" : "plain";
}

} // namespace tq::conduction
