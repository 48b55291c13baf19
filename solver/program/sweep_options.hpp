// What was typed behind sweep, join and map.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace tq::program {

struct SweepOptions {
  std::string plan;                         ///< sweep: the plan file
  std::string shard;                        ///< sweep: "k/n"
  std::string csv;                          ///< sweep, join: a table beside the result; empty: none
  bool keep_rows = false;                   ///< sweep: leaves the file of rows beside the result
  std::string result;                       ///< sweep, join: HDF5 file to write; map: to read
  std::vector<std::filesystem::path> parts; ///< join: files of rows
  bool partly = false;                      ///< join: also when cases are missing
  std::string x, y, figure, zone, station;  ///< map
  std::vector<std::string> at;              ///< map: "key=value" of the axes that are not drawn
  std::string drawing;                      ///< map: file to write
};

} // namespace tq::program
