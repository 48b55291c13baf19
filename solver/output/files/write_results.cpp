#include "output/files/write_results.hpp"

#include "output/files/hdf5_writer.hpp"
#include "output/files/xdmf_writer.hpp"
#include "output/json.hpp"
#include "output/picture.hpp"
#include "output/report.hpp"
#include "output/sheet.hpp"

#include <algorithm>
#include <stdexcept>

namespace tq::output {

const std::vector<std::string>& FileChoice::words() {
  static const std::vector<std::string> all{"report", "sheet", "json", "hdf5", "svg"};
  return all;
}

FileChoice FileChoice::only(const std::vector<std::string>& words) {
  const auto asked = [&](const char* word) {
    return std::find(words.begin(), words.end(), word) != words.end();
  };
  return {asked("report"), asked("sheet"), asked("json"), asked("hdf5"), asked("svg")};
}

std::vector<std::filesystem::path>
write_results(const treatment::Case& c, const std::vector<treatment::Run>& runs, const answers::Answers& a,
              const std::filesystem::path& folder, const std::string& stem, const OutputInfo& info,
              const Extras& extras, const std::function<void(const std::string&)>& tell_json,
              const FileChoice& wanted, answers::Executor* executor) {
  if (runs.size() != a.stations.size())
    throw std::logic_error("one answer per run is needed");
  if (!wanted.any() && !tell_json)
    return {};
  OutputInfo told = info;
  told.libraries += (told.libraries.empty() ? "HDF5 " : ", HDF5 ") + hdf5_version();
  const Origin origin = describe_origin(c, runs, a, told);
  const std::string hdf5_name = stem + ".h5";
  const auto station_stem = [&](std::size_t k) {
    return runs.size() > 1 ? stem + "_" + station_group(k) : stem;
  };

  const answers::Answers judged = extras.bands != nullptr ? answers::judged_by(a, *extras.bands) : a;
  const std::string json =
      wanted.json || tell_json ? answers_json(c, runs, judged, origin, extras) : std::string();
  if (tell_json)
    tell_json(json);

  std::vector<PendingFile> files;
  files.reserve(4 + 2 * runs.size());
  std::vector<std::function<void()>> makers;
  const auto add = [&](bool is_wanted, const std::string& name, const auto& make) {
    if (!is_wanted)
      return;
    const PendingFile& file = files.emplace_back(folder / name);
    makers.push_back([&file, make] { make(file); });
  };
  for (std::size_t k = 0; k < runs.size(); ++k)
    add(wanted.drawing, station_stem(k) + ".svg",
        [&, k](const PendingFile& file) { file.write(picture_svg(c, runs[k], judged.stations[k])); });
  add(wanted.report, stem + ".html",
      [&](const PendingFile& file) { file.write(report_html(c, runs, judged, origin, extras)); });
  add(wanted.sheet, stem + "_sheet.html",
      [&](const PendingFile& file) { file.write(sheet_html(c, runs, judged, origin, extras)); });
  add(wanted.json, stem + ".json", [&](const PendingFile& file) { file.write(json); });
  // one thread at a time may be in the HDF5 library: only this piece is
  add(wanted.hdf5, hdf5_name,
      [&](const PendingFile& file) { file.write(hdf5_bytes(c, runs, judged, origin, extras)); });
  for (std::size_t k = 0; k < runs.size(); ++k)
    add(wanted.hdf5, station_stem(k) + ".xmf",
        [&, k](const PendingFile& file) { file.write(xdmf_text(c, runs[k], k, hdf5_name)); });
  answers::SerialExecutor serial;
  (executor != nullptr ? *executor : serial).for_each_index(makers.size(), [&](std::size_t i) {
    makers[i]();
  });

  std::vector<std::filesystem::path> paths;
  for (const PendingFile& file : files)
    paths.push_back(file.target());
  commit_together(files);
  return paths;
}

} // namespace tq::output
