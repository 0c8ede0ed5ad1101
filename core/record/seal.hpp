// The digest that a record carries of itself.
#pragma once

#include <string>

#include "core/record/run_record.hpp"

namespace nestcup {

/// SHA-256 of the canonical JSON (RFC 8785) of what was measured and worked out: the record without
/// `content_sha256` itself and without what another telling of the same run may change (id,
/// revision, status, and the wall times started_at, mixed_at, finished_at). So the same readings,
/// worked out the same way, give the same digest wherever that is done; what it leaves out is
/// covered by the links of the store's chain (core/store/chain.hpp).
[[nodiscard]] std::string content_sha256(const Json& record);

/// Gives the record its `content_sha256`; whoever changes a record seals it again.
void seal(Json& record);

}  // namespace nestcup
