#include "output/write_results.hpp"

#include "output/hdf5_writer.hpp"
#include "output/json.hpp"
#include "output/picture.hpp"
#include "output/report.hpp"
#include "output/sheet.hpp"
#include "output/xdmf_writer.hpp"

#include <stdexcept>

namespace tq::output {

std::vector<std::filesystem::path>
write_results(const treatment::Case& c, const std::vector<treatment::Run>& runs, const answers::Answers& a,
              const std::filesystem::path& folder, const std::string& stem, const OutputInfo& info,
              const Extras& extras, const std::function<void(const std::string&)>& tell_json) {
  if (runs.size() != a.stations.size())
    throw std::logic_error("one answer per run is needed");
  const Origin origin = describe_origin(c, runs, a, info);
  const std::string hdf5_name = stem + ".h5";
  const auto station_stem = [&](std::size_t k) {
    return runs.size() > 1 ? stem + "_" + station_group(k) : stem;
  };

  std::vector<PendingFile> files;
  files.reserve(4 + 2 * runs.size());
  const auto add = [&](const std::string& name) -> const PendingFile& {
    return files.emplace_back(folder / name);
  };
  const answers::Answers judged = extras.bands != nullptr ? answers::judged_by(a, *extras.bands) : a;
  const std::string json = answers_json(c, runs, judged, origin, extras);
  if (tell_json)
    tell_json(json);
  for (std::size_t k = 0; k < runs.size(); ++k)
    add(station_stem(k) + ".svg").write(picture_svg(c, runs[k], judged.stations[k]));
  add(stem + ".html").write(report_html(c, runs, judged, origin, extras));
  add(stem + "_sheet.html").write(sheet_html(c, runs, judged, origin, extras));
  add(stem + ".json").write(json);
  add(hdf5_name).write(hdf5_bytes(c, runs, judged, origin, extras));
  for (std::size_t k = 0; k < runs.size(); ++k)
    add(station_stem(k) + ".xmf").write(xdmf_text(c, runs[k], k, hdf5_name));

  std::vector<std::filesystem::path> paths;
  for (const PendingFile& file : files)
    paths.push_back(file.target());
  commit_together(files);
  return paths;
}

} // namespace tq::output
