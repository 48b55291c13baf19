// The library in one call: the text of a case in, the ledger of everything computed out. No file is opened,
// no thread started; records come through a RecordSource, loops go by the executor that is handed in.
#pragma once

#include "answers/ledger.hpp"
#include "treatment/case_reader.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tq::answers {

struct ComputeSettings {
  int members = 0;        ///< draws for bands and verdicts, `fewest_members` or more; 0: as stated only
  std::uint64_t seed = 1; ///< same seed and members, same bands
  bool risks = true;      ///< bow and crack, two coarse runs per station
  std::vector<records::Setting> laid_on; ///< values that replace those of the case, as read_case() takes them
};

/// A case with all that was computed of it. The ledger tells it; the rest is for drawings and fields.
struct Computed {
  treatment::Case contents;
  std::vector<treatment::Run> runs; ///< one per station
  Answers answers;                  ///< judged by the draws where there are bands
  std::optional<Bands> bands;
  std::optional<Risks> risks;
  Ledger ledger;
};

/// Reads, computes and judges a case. `file` is the name that messages use. Without an executor everything
/// runs on the thread of the caller. Throws records::InputError for a case that cannot be read,
/// treatment::SolverError when the solver gives up, treatment::Interrupted when `progress` says so.
Computed compute(std::string_view case_text, std::string file, const treatment::RecordSource& records,
                 const ComputeSettings& settings = {}, Executor* executor = nullptr,
                 const treatment::Progress& progress = {});

} // namespace tq::answers
