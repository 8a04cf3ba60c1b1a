// SPDX-License-Identifier: Apache-2.0
// leanside_parse_floor FILE: parses the file as TOML and does nothing else. No program that reads the file with this
// parser can be faster.
#include <fstream>
#include <iostream>
#include <iterator>
#include <string>

#include <toml++/toml.h>

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: leanside_parse_floor FILE\n";
    return 2;
  }
  std::ifstream file{argv[1], std::ios::binary};
  const std::string text{std::istreambuf_iterator<char>{file}, {}};
  try {
    const toml::table table = toml::parse(text);
    std::cout << table.size() << " keys at the top\n";
  } catch (const toml::parse_error& error) {
    std::cerr << error.description() << '\n';
    return 2;
  }
}
