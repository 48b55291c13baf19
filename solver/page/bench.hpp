// The face of the solver for a page: one call, text in and text out (JSON). A page holds several benches, one
// in each worker; each keeps what it computed last, for the questions that follow.
#pragma once

#include "page/shelf.hpp"

#include <functional>
#include <memory>
#include <string>
#include <string_view>

namespace tq::page {

class Bench {
 public:
  /// `meanwhile` is handed what is known of an answer before the rest of it is.
  explicit Bench(std::function<void(const std::string&)> meanwhile = {});
  ~Bench();

  /// Does `what` with what `asked` says and tells the outcome; throws nothing. What is wrong with a case
  /// comes as "problems" (line, path, message), what went wrong otherwise as "failed".
  ///   form                                     fields, stocks, examples, questions
  ///   keep     {path, text}                    a record of the maker's own, or what the journal names
  ///   live     {text, edits, imperial, share}  the text with these fields set, read, and the
  ///                                          verdicts on the coarse grid, without margins; with the
  ///                                          `share` that live or fine told last (answers::CarefulTimer)
  ///                                          a timer that is left open is guessed while sizes change
  ///   fine     {text, edits, imperial, share}  the full answer on the case's own grid; meanwhile
  ///                                          its verdicts, before the runs behind the margins, with a
  ///                                          `share` by a guessed timer that is made sure of afterwards
  ///   draws    {text, timer, spare, members}   makes ready for piece; `timer` and `spare` are told by fine
  ///   piece    {number}                        the numbers of one member of the bands
  ///   reduce   {pieces, failure}               the bands from all pieces; after fine
  ///   moment   {station, number}               the section at a saved moment; after fine
  ///   find     {text, question, wish, imperial}
  ///   what_if  {text}                          drawings, one for each thing that may not be as set
  ///   explain  {text, hardness, files, ground} causes of what was read: lists of {zone, hrc, tempered}
  ///                                          and of {zone, feel}, all as typed
  ///   journal  {journal, learnt, bar}          lays the journal of a shop under every case that follows;
  ///                                          an empty text takes it away. `learnt` as learn gave it
  ///   learn    {}                              learns what is new in it; meanwhile after each blade
  ///   note     {journal, imperial, case, ...}  the journal with one more blade: date, station, ground and
  ///                                          the keys of shop::asked_of_a_blade(), hardness as lists of
  ///                                          {zone, hrc}; or one more coupon: date, steel and the
  ///                                          keys of shop::asked_of_a_coupon()
  ///   sheet, report, json                      documents; after fine
  std::string ask(std::string_view what, std::string_view asked);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

} // namespace tq::page
