// A chart for each quantity of a class.
#pragma once

#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/classroom/class_result.hpp"
#include "tools/pool/outputs.hpp"

namespace nestcup::pooled {

/// Writes an SVG for each quantity that two benches or more have into `folder`, which is made where
/// it is not there. Without names, benches are told apart by their place in the row alone.
/// @return the files written
/// @errors cannot_create: a file is there already, or cannot be written
[[nodiscard]] Result<std::vector<std::string>> write_charts(std::span<const ClassResult> results,
                                                            const PoolContext& context,
                                                            const std::filesystem::path& folder);

}  // namespace nestcup::pooled
