module sallyport

go 1.26
