// The chain of a store's records: each revision that is stored becomes a link that holds the digest
// of its record and of the link before it, so that what is changed, taken away or cut off later
// shows wherever the last link is kept.
//
// A link's digest is the SHA-256 of the canonical JSON (RFC 8785) of {"book", "link", "previous",
// "record", "revision", "run"}: the chain's id, the link's number, the digest of the link before
// ("" for the first), the digest of the record's canonical JSON, its revision, and the run's id.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/store/store.hpp"

namespace nestcup {

/// One link.
struct ChainLink {
  int number = 0;  ///< 1, 2, 3 ... in its chain
  std::string run_id;
  int revision = 0;
  std::string record_sha256;
  std::string sha256;
};

/// Where a chain ends.
struct ChainHead {
  std::string book;  ///< the chain's id
  int links = 0;
  std::string last_sha256;  ///< "" while there are none
};

/// SHA-256 of a record's canonical JSON (RFC 8785).
/// @errors bad_data: no JSON, or none that has a canonical form
[[nodiscard]] Result<std::string> record_sha256(std::string_view record_json);

/// Digest of a link.
/// @param previous_sha256  of the link before it, "" for the first
[[nodiscard]] std::string link_sha256(const std::string& book, const ChainLink& link,
                                      const std::string& previous_sha256);

/// The chain of a store. A store of an older version that is open for reading has none: its head
/// has no book.
class Chain {
 public:
  explicit Chain(const Store& store) : store_(store) {}

  [[nodiscard]] Result<ChainHead> head() const;
  /// Links with these numbers, first and last included, in order.
  [[nodiscard]] Result<std::vector<ChainLink>> links(int first, int last) const;
  /// The link of a run's revision.
  [[nodiscard]] Result<std::optional<ChainLink>> link_of(const std::string& run_id,
                                                         int revision) const;
  /// What `work` reads from the store is all of one moment, whatever another process writes
  /// meanwhile.
  [[nodiscard]] Result<void> at_one_moment(const std::function<Result<void>()>& work) const;

 private:
  const Store& store_;
};

/// Gives an empty store the chain of one that was lost, so that it goes on where that one ended.
/// Runs added afterwards must be those of `links`, in their order.
/// @errors usage: the store has runs already
[[nodiscard]] Result<void> take_over_chain(Store& store, const std::string& book);

}  // namespace nestcup
