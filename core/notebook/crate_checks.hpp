// What the facts of a crate must be like before they are written.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"
#include "core/notebook/crate.hpp"

namespace nestcup {

/// @errors bad_data, as `crate_metadata`
[[nodiscard]] Result<void> check_crate(const CrateFacts& facts);

/// Each has a name, and no ORCID is there twice or wrong.
/// @errors bad_data
[[nodiscard]] Result<void> check_people(const std::vector<CratePerson>& people);

/// The address of an ORCID ("https://orcid.org/..."), empty where `text` is none: four groups of
/// four, the last character a check digit (ISO 7064, MOD 11-2).
[[nodiscard]] std::string orcid_address(std::string_view text);

/// A path as a relative reference (RFC 3986, section 4.2): what would end or change it is encoded;
/// letters beyond ASCII stay, as in RFC 3987.
[[nodiscard]] std::string path_reference(std::string_view path);

}  // namespace nestcup
