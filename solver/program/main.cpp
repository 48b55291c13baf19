#include "answers/answers.hpp"
#include "program/program.hpp"

int main(int argc, char** argv) { return tq::program::run(argc, argv, tq::answers::answer); }
