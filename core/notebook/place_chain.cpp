#include "core/notebook/place_chain.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace nestcup {
namespace {

std::string begin_of(const std::string& digest) {
  constexpr std::size_t shown = 12;
  return digest.substr(0, shown);
}

}  // namespace

std::string link_text(const ChainLink& link) {
  return fmt::format("link {} (run {}, revision {}, {})", link.number, link.run_id, link.revision,
                     begin_of(link.sha256));
}

std::string link_words(const LinkRanges& ranges) {
  const bool one = ranges.size() == 1 && ranges.front().first == ranges.front().second;
  std::string text = one ? "link " : "links ";
  for (std::size_t i = 0; i < ranges.size(); ++i) {
    const auto [first, last] = ranges[i];
    if (i > 0) text += ", ";
    text += first == last ? std::to_string(first) : fmt::format("{} to {}", first, last);
  }
  return text;
}

void PlaceChain::add(const ChainLink& link, const std::optional<std::string>& previous_sha256,
                     const std::string& where) {
  if (link.number < 1) {
    return fault("link-number",
                 fmt::format("{}: has link {}; expected a number from 1 on", where, link.number));
  }
  const auto [there, added] = links_.emplace(link.number, Seen{link, previous_sha256, where});
  if (added || there->second.link.sha256 == link.sha256) return;
  fault("link-twice",
        fmt::format("{}: has {}, {} has {}; expected one link of that number", where,
                    link_text(link), there->second.where, link_text(there->second.link)));
}

void PlaceChain::set_end(const ChainHead& end, const std::string& where) {
  if (end_ && end_->links >= end.links) return;
  end_ = end;
  end_where_ = where;
}

void PlaceChain::check(bool whole) {
  check_joins();
  if (!end_) {
    notes_.push_back({"no-end", fmt::format("{}: says nothing of where the chain of records ends; "
                                            "runs that are missing at its end do not show",
                                            where_)});
    return;
  }
  if (whole) check_gaps();
  check_end();
}

void PlaceChain::check_gaps() {
  LinkRanges missing;
  int known = 0;
  for (const auto& [number, seen] : links_) {
    if (number > end_->links) break;
    if (number - known > 1) missing.emplace_back(known + 1, number - 1);
    known = number;
  }
  if (known < end_->links) missing.emplace_back(known + 1, end_->links);
  if (missing.empty()) return;
  fault("link-gap",
        fmt::format("{}: the chain of records has no {}; expected 1 to {} ({}): records "
                    "were taken away{}",
                    where_, link_words(missing), end_->links, end_where_,
                    is_store_ ? "" : ", or never carried"));
}

void PlaceChain::check_end() {
  const auto last = links_.find(end_->links);
  if (last != links_.end() && last->second.link.sha256 != end_->last_sha256) {
    fault("chain-end", fmt::format("{}: says that the chain ends with {} at link {}, expected {} "
                                   "({})",
                                   end_where_, begin_of(end_->last_sha256), end_->links,
                                   begin_of(last->second.link.sha256), last->second.where));
  }
  if (links_.empty() || links_.rbegin()->first <= end_->links) return;
  const std::string text =
      fmt::format("{}: says that the chain ends at link {}, but there is link {} ({})", end_where_,
                  end_->links, links_.rbegin()->first, links_.rbegin()->second.where);
  // A carrying that was cut off brings the end with the next.
  if (is_store_) return fault("chain-end", text);
  notes_.push_back({"end-behind", text});
}

void PlaceChain::check_joins() {
  for (const auto& [number, seen] : links_) {
    const auto before = links_.find(number - 1);
    if (!seen.previous_sha256 || before == links_.end()) continue;
    if (*seen.previous_sha256 == before->second.link.sha256) continue;
    fault("chain-broken", fmt::format("{}: link {} follows {}, expected {} ({})", seen.where,
                                      number, begin_of(*seen.previous_sha256),
                                      begin_of(before->second.link.sha256), before->second.where));
  }
}

void PlaceChain::check_against(const PlaceChain& other) {
  int differ = 0;
  std::string first;
  for (const auto& [number, seen] : links_) {
    const auto same = other.links_.find(number);
    if (same == other.links_.end() || same->second.link.sha256 == seen.link.sha256) continue;
    if (++differ > 1) continue;
    first = fmt::format("{}: has {}, {} has {}", seen.where, link_text(seen.link),
                        same->second.where, link_text(same->second.link));
  }
  if (differ > 0) {
    fault("chains-differ",
          fmt::format("{}; expected the same{}", first,
                      differ == 1 ? "" : fmt::format(" ({} links differ)", differ)));
  }
  check_cut(other);
}

void PlaceChain::check_cut(const PlaceChain& other) {
  const int own = std::max(end_ ? end_->links : 0, links_.empty() ? 0 : links_.rbegin()->first);
  if (other.is_store_ && other.end_ && own > other.end_->links) {
    fault("store-cut",
          fmt::format("{}: knows {} links of the chain of records, {} ends at link "
                      "{}: the last records are missing there (nestcup import brings "
                      "them back)",
                      end_ ? end_where_ : where_, own, other.where_, other.end_->links));
  }
  if (!end_) return;
  const auto same = other.links_.find(end_->links);
  if (same == other.links_.end() || same->second.link.sha256 == end_->last_sha256) return;
  fault("ends-differ", fmt::format("{}: says {} of link {}, expected {} ({})", end_where_,
                                   begin_of(end_->last_sha256), end_->links,
                                   begin_of(same->second.link.sha256), same->second.where));
}

}  // namespace nestcup
