// Many stored runs worked out anew on several threads.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "core/record/recompute.hpp"

namespace nestcup {

inline constexpr int most_recompute_threads = 64;

/// As many threads as there are processors, at least 1 and at most `most_recompute_threads`.
[[nodiscard]] int usual_recompute_threads();

/// Takes what came of the next run; an error ends the work.
using TakeRecomputed = std::function<Result<void>(const Recomputed&)>;

/// Works runs out anew (recompute.hpp) and hands each over in the calling thread, in their order:
/// what comes out does not depend on the number of threads. Each thread reads the book by a
/// connection of its own; `take` may write to it by the caller's.
/// @param threads  1 (the calling thread, by `book` itself) to `most_recompute_threads`
/// @return the error of the first run that cannot be worked out or taken; those before it were
/// taken
/// @errors as recompute, RunBook::reopened and `take`; io: a thread cannot be started
[[nodiscard]] Result<void> recompute_runs(const RunBook& book, const std::vector<StoredRun>& runs,
                                          const std::optional<Sheet>& sheet, int threads,
                                          const TakeRecomputed& take);

}  // namespace nestcup
