fn main() -> std::process::ExitCode {
    couchside::cli::main()
}
