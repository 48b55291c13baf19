// All files of a result, written together.
#pragma once

#include "answers/answers.hpp"
#include "answers/executor.hpp"
#include "output/extras.hpp"
#include "output/files/files.hpp"
#include "output/origin.hpp"

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace tq::output {

/// Which files are wanted.
struct FileChoice {
  bool report = true;  ///< stem.html
  bool sheet = true;   ///< stem_sheet.html
  bool json = true;    ///< stem.json
  bool hdf5 = true;    ///< stem.h5 and what opens it in viewers, stem.xmf
  bool drawing = true; ///< stem.svg

  bool any() const { return report || sheet || json || hdf5 || drawing; }
  /// The words for them, and the choice of some; words that are not known are passed over.
  static const std::vector<std::string>& words();
  static FileChoice only(const std::vector<std::string>& words);
};

/// Writes stem.h5, stem.json, the report stem.html, the shop sheet
/// stem_sheet.html and for each station stem.xmf and stem.svg (with several
/// stations stem_station_1.xmf ...) into `folder`, which is made when missing, as far as they are wanted.
/// Earlier results of the same names are replaced together at the very end, and stay whole when anything
/// fails before. Returns the paths written, the picture first. `tell_json` is called with what stem.json is
/// to hold before the other files are made. Files are made at the same time as far as `executor` can (null:
/// one after the other); their bytes do not depend on it. Throws WriteError.
std::vector<std::filesystem::path>
write_results(const treatment::Case& c, const std::vector<treatment::Run>& runs, const answers::Answers& a,
              const std::filesystem::path& folder, const std::string& stem, const OutputInfo& info,
              const Extras& extras = {}, const std::function<void(const std::string&)>& tell_json = {},
              const FileChoice& wanted = {}, answers::Executor* executor = nullptr);

} // namespace tq::output
