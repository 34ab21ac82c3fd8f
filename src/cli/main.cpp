#include "cli/app.hpp"

int main(int argc, char** argv) {
    return thresh::cli::run(argc, argv);
}
