// A pooled class for people and for spreadsheets.
#pragma once

#include <span>
#include <string>

#include "core/pool/pool_json.hpp"

namespace nestcup::pooled {

/// Tables with numbers and titles, what stands out, and what is left out.
[[nodiscard]] std::string pool_page(std::span<const ClassResult> results,
                                    const PoolContext& context, bool colour);

/// A row for each bench and quantity (RFC 4180); core/classroom/METHOD.md has its columns.
[[nodiscard]] std::string pool_csv(std::span<const ClassResult> results,
                                   const PoolContext& context);

}  // namespace nestcup::pooled
