// write_store PATH RUNS [EARLIER [BENCH]]: a new store of simulated runs, the last one struck out.
// Their records are by an analysis that is EARLIER versions older; BENCH (a number) gives them
// other ids than other benches' have.
#include <cstdlib>
#include <exception>
#include <iostream>

#include "tests/record/simulated_store.hpp"

int main(int count, char** words) {
  if (count < 3 || count > 5) return 64;
  try {
    nestcup::SimulatedStore wanted{std::atoi(words[2]), 2};
    if (count > 3) wanted.analysis -= std::atoi(words[3]);
    if (count > 4) wanted.bench = std::atoi(words[4]);
    nestcup::make_simulated_store(words[1], wanted);
  } catch (const std::exception& problem) {
    std::cerr << problem.what() << '\n';
    return 70;
  }
  return 0;
}
