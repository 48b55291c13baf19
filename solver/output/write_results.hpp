// All files of a result, written together.
#pragma once

#include "answers/answers.hpp"
#include "output/extras.hpp"
#include "output/files.hpp"
#include "output/origin.hpp"

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace tq::output {

/// Writes stem.h5, stem.json, the report stem.html, the shop sheet
/// stem_sheet.html and for each station stem.xmf and stem.svg (with several
/// stations stem_station_1.xmf ...) into `folder`, which is made when missing. Earlier results of the same
/// names are replaced together at the very end, and stay whole when anything fails before. Returns the paths
/// written, the picture first. `tell_json` is called
/// with what stem.json is to hold before the other files are made. Throws WriteError.
std::vector<std::filesystem::path>
write_results(const treatment::Case& c, const std::vector<treatment::Run>& runs, const answers::Answers& a,
              const std::filesystem::path& folder, const std::string& stem, const OutputInfo& info,
              const Extras& extras = {}, const std::function<void(const std::string&)>& tell_json = {});

} // namespace tq::output
