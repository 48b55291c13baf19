#include "answers/executor.hpp"

#include "treatment/run.hpp"

namespace tq::answers {

void SerialExecutor::for_each_index(std::size_t n, const Work& work, const GoOn& go_on) {
  for (std::size_t i = 0; i < n; ++i) {
    if (go_on && !go_on(i))
      throw treatment::Interrupted();
    work(i);
  }
  if (go_on && !go_on(n))
    throw treatment::Interrupted();
}

} // namespace tq::answers
