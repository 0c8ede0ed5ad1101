// The index of a bench's month in a notebook: a line a run, as Markdown. Its last line holds the
// digest of all above, by which it can be told from one that somebody wrote in.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/record/run_record.hpp"
#include "core/store/chain.hpp"

namespace nestcup {

/// The end of a bench's chain as a notebook keeps it, so that records which are missing there or in
/// the store later show.
struct KeptHead {
  std::string bench;  ///< name of the bench, may be empty
  ChainHead head;
};

/// A run in the index.
struct IndexLine {
  std::string folder;
  Json record;  ///< of the newest revision
};

/// What came to a month, and how to have all of it where the notebook has no index to go on from.
struct IndexNews {
  std::string month;             ///< "2026-11", or "undated"
  std::vector<IndexLine> lines;  ///< of runs that are new or changed
  std::function<Result<std::vector<IndexLine>>()> all;
};

/// "2026-11": the month in which the run of a record began, or "undated".
[[nodiscard]] std::string month_of(const Json& record);

[[nodiscard]] std::string index_file_name(const KeptHead& head, const std::string& month);

/// The whole index, by start of the runs.
[[nodiscard]] std::string index_text(const KeptHead& head, const std::string& month,
                                     const std::vector<IndexLine>& lines);
/// An index with these lines added, or put in the place of those of the same folders: what it costs
/// does not depend on the records of the runs that are in it already.
/// @return nothing where `text` is no untouched index
[[nodiscard]] std::optional<std::string> index_with(const std::string& text,
                                                    const std::vector<IndexLine>& lines);
[[nodiscard]] bool is_untouched_index(const std::string& text);

/// The index as it is to be from now on.
/// @param there  what lies in its place now; nothing: none does
/// @errors of `news.all`
[[nodiscard]] Result<std::string> new_index(const std::optional<std::string>& there,
                                            const KeptHead& head, const IndexNews& news);

/// How a bench is called in names of files: "bench-4 e6401d".
[[nodiscard]] std::string bench_words(const KeptHead& head);
/// The end of a chain's id, in names of files: enough to tell benches of one name apart.
[[nodiscard]] std::string book_mark(const std::string& book);

}  // namespace nestcup
