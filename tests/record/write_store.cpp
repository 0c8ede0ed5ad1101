// write_store PATH RUNS: a new store of simulated runs, the last one struck out.
#include <cstdlib>
#include <exception>
#include <iostream>

#include "tests/record/simulated_store.hpp"

int main(int count, char** words) {
  if (count != 3) return 64;
  try {
    const int runs = std::atoi(words[2]);
    nestcup::make_simulated_store(words[1], {runs, 2, nestcup::analysis_version, "demo"});
  } catch (const std::exception& problem) {
    std::cerr << problem.what() << '\n';
    return 70;
  }
  return 0;
}
