// What a notebook has of a run already, told by the files that lie there.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "core/notebook/proof.hpp"
#include "core/notebook/run_entry.hpp"

namespace nestcup {

inline constexpr const char* run_record_name = "run.json";

/// The names that a run's folder may have: the usual one, and a longer one where that is another's.
[[nodiscard]] std::array<std::string, 2> folder_names(const RunEntry& entry);

/// The run that a proof or a record is of; empty where it says nothing.
[[nodiscard]] std::string run_named_in(const std::optional<std::string>& text);

/// The files of a run's folder as this program wrote them.
struct ArrivedRun {
  Proof proof;             ///< no revisions where it cannot be read
  std::string proof_text;  ///< "" where there is none

  /// @param where  for messages
  ArrivedRun(std::string text, const std::string& where);

  /// Whether the revision is there.
  [[nodiscard]] bool has(const RunEntry& entry) const;
  /// Whether these bytes are this file as it was written, so that a new one may take its place.
  [[nodiscard]] bool wrote(const std::string& name, const std::string& bytes) const;
  /// Whether these bytes are any of ours, now or for the entry that is being brought: what was cut
  /// off may leave them aside.
  [[nodiscard]] bool knows(const std::string& bytes, const RunEntry& entry) const;
};

/// What the owner is told of a file that was changed by hand.
[[nodiscard]] std::string changed_by_hand(const std::string& where, int revision,
                                          const std::string& beside);
/// The same of an index.
[[nodiscard]] std::string index_changed_by_hand(const std::string& where,
                                                const std::string& beside);
/// "index 2026-11 bench-4 e6401d (anew).md"
[[nodiscard]] std::string index_beside(const std::string& name);
/// Another's things in a run's place.
[[nodiscard]] Error place_taken(const std::string& where, const RunEntry& entry);

}  // namespace nestcup
