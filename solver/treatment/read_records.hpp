// Records as read, kept for readers of many cases: what a text means does not change from case to case.
#pragma once

#include "treatment/case_reader.hpp"

#include <any>
#include <map>
#include <mutex>
#include <string>
#include <typeindex>
#include <utility>

namespace tq::treatment {

/// May be asked by several threads.
class ReadRecords {
 public:
  /// What `read` makes of a text: as it did when it was asked for this type and text before.
  template <class Read>
  auto of(const std::string& text, const Read& read) -> decltype(read()) {
    using Record = decltype(read());
    const std::pair key(std::type_index(typeid(Record)), text);
    {
      const std::lock_guard lock(mutex_);
      if (const auto found = kept_.find(key); found != kept_.end())
        return std::any_cast<const Record&>(found->second);
    }
    Record record = read(); // a text with a mistake throws, and is not kept
    const std::lock_guard lock(mutex_);
    kept_.emplace(key, record);
    return record;
  }

 private:
  std::mutex mutex_;
  std::map<std::pair<std::type_index, std::string>, std::any> kept_;
};

/// What `read` makes of a record, once where the source keeps it. `beside`: what else it depends on.
template <class Read>
auto read_once(const RecordSource& source, const RecordText& record, const std::string& beside,
               const Read& read) -> decltype(read()) {
  if (ReadRecords* const kept = source.kept())
    return kept->of(record.file + '\0' + record.text + '\0' + beside, read);
  return read();
}

} // namespace tq::treatment
