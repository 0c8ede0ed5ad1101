// The chain of records as one place has it (a store, a notebook, a crate), checked in itself and
// against the same chain in another place.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "core/notebook/verify.hpp"
#include "core/store/chain.hpp"

namespace nestcup {

/// Numbers of links, as ranges with both ends; what a file says of a chain's end may be anything.
using LinkRanges = std::vector<std::pair<int, int>>;

/// "link 3", "links 3 to 5, 9".
[[nodiscard]] std::string link_words(const LinkRanges& ranges);

/// "link 3 (run 0193..., revision 1, 9f8e...)".
[[nodiscard]] std::string link_text(const ChainLink& link);

class PlaceChain {
 public:
  /// @param where     for messages
  /// @param is_store  whether the place must have every link itself
  PlaceChain(std::string where, std::string book, bool is_store)
      : where_(std::move(where)), book_(std::move(book)), is_store_(is_store) {}

  /// A link that was found.
  /// @param previous_sha256  of the one before, where that is said beside it
  /// @param where            its file or row
  void add(const ChainLink& link, const std::optional<std::string>& previous_sha256,
           const std::string& where);
  /// What the place says of where the chain ends.
  void set_end(const ChainHead& end, const std::string& where);

  [[nodiscard]] const std::string& where() const { return where_; }
  [[nodiscard]] const std::string& book() const { return book_; }
  [[nodiscard]] bool is_store() const { return is_store_; }
  [[nodiscard]] const std::optional<ChainHead>& end() const { return end_; }
  [[nodiscard]] int links() const { return static_cast<int>(links_.size()); }
  /// Whether there is a link of that number.
  [[nodiscard]] bool has(int number) const { return links_.contains(number); }

  /// Faults in itself: links that are missing before the end, that do not join, or an end that is
  /// another one.
  /// @param whole  whether every link up to the end must be there
  void check(bool whole);
  /// Holds it against the same chain in another place.
  void check_against(const PlaceChain& other);

  [[nodiscard]] const std::vector<CheckNote>& faults() const { return faults_; }
  [[nodiscard]] const std::vector<CheckNote>& notes() const { return notes_; }

 private:
  void check_gaps();

  struct Seen {
    ChainLink link;
    std::optional<std::string> previous_sha256;
    std::string where;
  };
  void fault(std::string code, std::string text) {
    faults_.push_back({std::move(code), std::move(text)});
  }
  void check_end();
  void check_joins();
  void check_cut(const PlaceChain& other);

  std::string where_;
  std::string book_;
  bool is_store_ = false;
  std::map<int, Seen> links_;
  std::optional<ChainHead> end_;
  std::string end_where_;
  std::vector<CheckNote> faults_;
  std::vector<CheckNote> notes_;
};

}  // namespace nestcup
