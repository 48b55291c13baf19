// A made-up case with made-up but plausible results, so that the writers can be tested without the solver.
#pragma once

#include "../../support/temporary_folder.hpp"
#include "answers/answers.hpp"
#include "output/origin.hpp"

#include <filesystem>
#include <vector>

namespace tq::test {

struct Sample {
  treatment::Case c;
  std::vector<treatment::Run> runs;
  answers::Answers answers;
  output::OutputInfo info;
};

/// All five stages on one station, with probes and cautions; every field and figure is present.
Sample full_sample();
/// One quench stage of an inert steel on an unsymmetrical section: nothing optional is present.
Sample bare_sample();

std::string file_text(const std::filesystem::path& path);

/// Sets an environment variable for the life of the object.
class EnvironmentGuard {
 public:
  EnvironmentGuard(const char* name, const char* value);
  ~EnvironmentGuard();
  EnvironmentGuard(const EnvironmentGuard&) = delete;
  EnvironmentGuard& operator=(const EnvironmentGuard&) = delete;

 private:
  std::string name_, before_;
  bool was_set_ = false;
};

} // namespace tq::test
