// What each command does. All throw; program.cpp maps what they throw to exit codes.
#pragma once

#include "program/options.hpp"
#include "program/program.hpp"

#include <filesystem>
#include <string>

namespace tq::program {

/// Computes a case: answers on standard output, files in the output folder, progress on standard error.
void harden(const Options& options, const Engine& engine, const std::string& command_line);
/// Prints a case with every default filled in.
void check(const Options& options);
/// Lists the records, or the origin of every value of one.
void stock(const Options& options);
/// Answers a question about a steel, or a table of them.
void ask(const Options& options);
/// Hardness along the end-quenched bar, of one steel or of all on the shelf.
void jominy(const Options& options);
/// Recovers an oil record from a test of the oil and writes it.
void oil(const Options& options);
/// Prints a case to fill in.
void blank(const Options& options);
/// Asks about a blade on standard output and input, writes the case, computes it when that is wanted.
void new_case(const Options& options, const Engine& engine, const std::string& command_line);
/// Appends an entry to the journal of the shop.
void note(const Options& options);
/// Tells what the journal of the shop taught.
void shop_command(const Options& options);
/// Searches a setting.
void find(const Options& options);
/// Strips of outcomes when something is not as set.
void what_if(const Options& options);
/// One blade against many baths.
void compare(const Options& options);
/// What may have gone wrong with a blade, from what tester and file read of it.
void explain(const Options& options);
/// Throws InputError that names `option` when no file can be written in `folder`, or in what will hold it;
/// makes nothing.
void require_writable(const std::string& option, const std::filesystem::path& folder);
/// Throws UsageError or InputError when no result can be written as `file`: "-" (nothing is written to
/// standard output by that name), a folder, a device, a folder around it that cannot be written.
void require_file(const std::string& option, const std::filesystem::path& file);
/// The same of a drawing, whose name ends in .svg; an empty one is not asked for.
void require_drawing(const std::string& option, const std::filesystem::path& file);
/// Computes the cases of a plan, or a shard of them; goes on where an earlier run ended.
void run_sweep(const Options& options, const std::string& command_line);
/// One result of the rows of all shards.
void join(const Options& options);
/// A figure of a sweep as a map or curves.
void map(const Options& options);
/// Only the lines in which two cases and their answers differ.
void differ(const Options& options, const Engine& engine);

} // namespace tq::program
